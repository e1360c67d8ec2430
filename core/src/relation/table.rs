//! What the table of kinds is turned into.

/// Declares the file of each kind, makes the enum of the document from them, and lists how they are
/// typed. A row names the file, the type in it, and what it asks for.
///
/// The document's word for a kind is its type in snake case: `BoltCircle` is `bolt_circle`.
macro_rules! kinds {
    ($($file:ident::$kind:ident, $asks:literal;)*) => {
        $(
            mod $file;
            pub use $file::$kind;
        )*

        /// What a relation asks for.
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum RelationKind {
            $(
                #[doc = $asks]
                $kind($kind),
            )*
        }

        /// The kind as a requirement, so that it is asked directly: `relation.kind.features()`.
        impl Deref for RelationKind {
            type Target = dyn Requirement;

            fn deref(&self) -> &Self::Target {
                match self {
                    $(Self::$kind(one) => one,)*
                }
            }
        }

        impl DerefMut for RelationKind {
            fn deref_mut(&mut self) -> &mut Self::Target {
                match self {
                    $(Self::$kind(one) => one,)*
                }
            }
        }

        /// How each kind is typed, in the order of the table.
        const TYPED: &[TypedKind] = &[
            $(TypedKind {
                words: $kind::words,
                examples: $kind::examples,
                parse: |typed| $kind::parse(typed).map(RelationKind::$kind),
            },)*
        ];
    };
}
