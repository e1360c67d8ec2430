//! Material conditions.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Material condition at which a tolerance applies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Modifier {
    /// Regardless of feature size: no bonus.
    #[default]
    None,
    /// Maximum material condition.
    Mmc,
    /// Least material condition.
    Lmc,
}

impl Modifier {
    /// All, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::None, Self::Mmc, Self::Lmc];

    /// Regardless of feature size.
    #[must_use]
    pub const fn is_none(&self) -> bool {
        matches!(self, Self::None)
    }

    /// The short word: nothing, `MMC`, `LMC`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Mmc => "MMC",
            Self::Lmc => "LMC",
        }
    }
}
