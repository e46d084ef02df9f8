//! What a value rests on.

/// How a value, or the place where it stands, was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Seen {
    /// Read, in the document or in a text that restates it.
    Read,
    /// Recalled: confirm it against the document.
    Memory,
    /// Trade custom without a source.
    CommonPractice,
    /// Worked out from other cited values.
    Derived,
}

impl Seen {
    /// The word in a rulebook.
    pub fn word(self) -> &'static str {
        match self {
            Seen::Read => "read",
            Seen::Memory => "memory",
            Seen::CommonPractice => "common practice",
            Seen::Derived => "derived",
        }
    }

    /// From the word in a rulebook.
    pub fn from_word(word: &str) -> Option<Self> {
        [Seen::Read, Seen::Memory, Seen::CommonPractice, Seen::Derived].into_iter().find(|s| s.word() == word)
    }
}

/// What a document is: law must be kept, guidance is one way of keeping it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Must be kept.
    Law,
    /// One way of keeping the law.
    Guidance,
    /// A published standard.
    Standard,
    /// Holds for the maker's thing.
    Maker,
    /// What the trade does.
    Custom,
}

impl Standing {
    /// The word in a rulebook and on the basis page.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Law => "law",
            Standing::Guidance => "guidance",
            Standing::Standard => "standard",
            Standing::Maker => "maker's paper",
            Standing::Custom => "custom",
        }
    }

    /// From the word in a rulebook.
    pub fn from_word(word: &str) -> Option<Self> {
        [Standing::Law, Standing::Guidance, Standing::Standard, Standing::Maker, Standing::Custom]
            .into_iter()
            .find(|s| s.word() == word)
    }
}

/// Where a value stands and how it was seen; value and place are seen apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Citation {
    /// Short name of the document: `AD H`.
    pub document: String,
    /// Its edition: `2015 edition`.
    pub edition: String,
    /// Place inside it: `Table 6`.
    pub clause: String,
    /// What the document is.
    pub standing: Standing,
    /// How the value was seen: memory marks the verdict "limit recalled".
    pub value_seen: Seen,
    /// How the place was seen.
    pub clause_seen: Seen,
}

impl Citation {
    /// `AD H Table 6`.
    pub fn short(&self) -> String {
        format!("{} {}", self.document, self.clause).trim().to_owned()
    }

    /// Whether the value was recalled and not read.
    pub fn recalled(&self) -> bool {
        self.value_seen == Seen::Memory
    }
}
