//! Marks: what a page is made of, and the two ways to write a page down.
//!
//! A layout places marks on pages; [`svg`] and [`pdf`] write them down and decide
//! nothing, so that what the screen shows is what the document holds. Text is as
//! long in both as [`width`] says: the same fonts, no kerning, no ligatures.
//!
//! Lengths are millimetres, from the upper left corner of the page, x to the right
//! and y down. Angles are radians, counter-clockwise as seen on the page.
//!
//! ```
//! use quarterturn_core::mark::{Circle, Page, Stroke, Text, svg};
//!
//! let mut page = Page::new(60.0, 40.0, "A hole");
//! page.put(Circle::new((30.0, 20.0), 8.0).stroke(Stroke::THIN));
//! page.put(Text::new((30.0, 34.0), "hole 1", 3.0).middle());
//! assert!(svg(&page).starts_with("<svg"));
//! ```
//!
//! One file per noun: [`Mark`] and its kinds, [`Page`], [`Ink`], [`Face`]; then what
//! is put together from marks: [`Symbol`], [`control_frame`], [`VerdictSign`].

mod cut;
mod datum;
mod font;
mod frame;
mod ink;
#[expect(clippy::module_inception, reason = "a file is named for what lives in it")]
mod mark;
#[cfg(feature = "pdf")]
mod moment;
mod moved;
mod number;
mod page;
mod path;
#[cfg(feature = "pdf")]
mod pdf;
#[cfg(feature = "pdf")]
mod pdf_attachment;
#[cfg(feature = "pdf")]
mod pdf_content;
#[cfg(feature = "pdf")]
mod pdf_font;
#[cfg(feature = "pdf")]
mod pdf_outline;
#[cfg(feature = "pdf")]
mod pdf_xmp;
mod place;
mod sfnt;
mod svg;
mod symbol;
mod text;
mod verdict;

pub use datum::datum_flag;
pub use font::{Face, has_glyph, width};
pub use frame::{
    Cell, Piece, Reach, composite_frame, control_frame, control_frame_width, segment_frame,
};
pub use ink::Ink;
pub use mark::{Circle, Group, Line, Mark, Rect, Stroke, Tag};
pub use page::{Bookmark, Level, Page};
pub use path::{Path, Step};
#[cfg(feature = "pdf")]
pub use pdf::{About, Moment, PdfError, PdfWriter, attached, pdf};
#[cfg(feature = "pdf")]
pub use pdf_attachment::Attachment;
pub use place::{Anchor, Point, Text, Turn};
pub use svg::{svg, svg_file, svg_marks};
pub use symbol::Symbol;
pub use text::{drawn, fit, missing, wrap};
pub use verdict::VerdictSign;
