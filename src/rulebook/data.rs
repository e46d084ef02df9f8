//! The texts that are built in. A published edition is frozen: a corrected number is a new revision of the rulebook.

/// The rulebooks.
pub(super) const NAMES: &[&str] = &["england-2015", "en-12056-system-3"];

/// The limits of Approved Document H, chapter by chapter; they read as one text.
const AD_H_LIMITS: &str = concat!(
    include_str!("data/ad-h-2015/head.limits.yaml"),
    include_str!("data/ad-h-2015/traps.limits.yaml"),
    include_str!("data/ad-h-2015/branches.limits.yaml"),
    include_str!("data/ad-h-2015/stacks.limits.yaml"),
    include_str!("data/ad-h-2015/vents.limits.yaml"),
    include_str!("data/ad-h-2015/air-test.limits.yaml"),
    include_str!("data/ad-h-2015/drains.limits.yaml"),
    include_str!("data/ad-h-2015/ground.limits.yaml"),
    include_str!("data/ad-h-2015/access.limits.yaml"),
    include_str!("data/ad-h-2015/chambers.limits.yaml"),
    include_str!("data/ad-h-2015/covers.limits.yaml"),
    include_str!("data/ad-h-2015/drain-tests.limits.yaml"),
    include_str!("data/ad-h-2015/site.limits.yaml"),
);

/// Its prose: first the rules, then the ledger.
const AD_H_PROSE: &str = concat!(
    include_str!("data/ad-h-2015/head.prose.yaml"),
    include_str!("data/ad-h-2015/above-ground.prose.yaml"),
    include_str!("data/ad-h-2015/drains.prose.yaml"),
    include_str!("data/ad-h-2015/access.prose.yaml"),
    include_str!("data/ad-h-2015/site.prose.yaml"),
    include_str!("data/ad-h-2015/section-1.ledger.yaml"),
    include_str!("data/ad-h-2015/section-2.ledger.yaml"),
);

/// The documents: name, limits, prose.
pub(super) const DOCUMENTS: &[(&str, &str, &str)] = &[
    ("ad-h-2015", AD_H_LIMITS, AD_H_PROSE),
    (
        "bs-en-12056-2-2000",
        include_str!("data/bs-en-12056-2-2000.limits.yaml"),
        include_str!("data/bs-en-12056-2-2000.prose.yaml"),
    ),
    ("bs-en-752-2008", include_str!("data/bs-en-752-2008.limits.yaml"), include_str!("data/bs-en-752-2008.prose.yaml")),
    (
        "bs-en-1610-2015",
        include_str!("data/bs-en-1610-2015.limits.yaml"),
        include_str!("data/bs-en-1610-2015.prose.yaml"),
    ),
    ("ad-b-2019", include_str!("data/ad-b-2019.limits.yaml"), include_str!("data/ad-b-2019.prose.yaml")),
    (
        "bs-en-1366-3-2021",
        include_str!("data/bs-en-1366-3-2021.limits.yaml"),
        include_str!("data/bs-en-1366-3-2021.prose.yaml"),
    ),
    ("custom", include_str!("data/custom.limits.yaml"), include_str!("data/custom.prose.yaml")),
    ("supports", include_str!("data/supports.limits.yaml"), include_str!("data/supports.prose.yaml")),
];

/// The text of a rulebook.
pub(super) fn rulebook(id: &str) -> Option<&'static str> {
    match id {
        "england-2015" => Some(include_str!("data/england-2015.yaml")),
        "en-12056-system-3" => Some(include_str!("data/en-12056-system-3.yaml")),
        _ => None,
    }
}
