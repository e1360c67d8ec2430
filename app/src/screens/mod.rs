//! The four screens. Each shows what the core has found and hands edits back to the
//! [`Desk`](crate::desk::Desk); none of them works anything out.

mod bench;
mod drawing;
mod findings;
mod sheet;

pub(crate) use bench::Bench;
pub(crate) use drawing::Drawing;
pub(crate) use findings::Findings;
pub(crate) use sheet::Sheet;
