//! What the policy does not allow.

use std::collections::BTreeMap;

use super::packages::{Locked, Package};
use super::policy::Policy;

/// One line a finding, each complete in itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Findings {
    /// The lines.
    pub lines: Vec<String>,
}

impl Findings {
    /// Holds the packages against `policy`: sources and versions of those in the lock file, licences of those that are built.
    #[must_use]
    pub fn of(policy: &Policy, locked: &[Locked], built: &[Package], linked: &[Package]) -> Self {
        let licences = built
            .iter()
            .filter_map(|package| licence(policy, package, linked.contains(package)));
        let sources = locked.iter().filter_map(|package| source(policy, package));
        let mut lines: Vec<String> = licences.chain(sources).collect();
        lines.extend(duplicates(policy, locked));
        lines.extend(idle_skips(policy, locked));
        Self { lines }
    }
}

fn licence(policy: &Policy, package: &Package, linked: bool) -> Option<String> {
    let Package { name, version, .. } = package;
    let place = if linked {
        "linked into the plug-ins"
    } else {
        "for tests and commands"
    };
    let Some(licence) = &package.licence else {
        return Some(format!("licence: {name} {version} ({place}) tells none"));
    };
    (!policy.allows_licence(name, licence, linked))
        .then(|| format!("licence: {name} {version} ({place}) is under {licence}"))
}

/// What has no source is this workspace's own.
fn source(policy: &Policy, package: &Locked) -> Option<String> {
    let Locked {
        name,
        version,
        source,
        checksum,
    } = package;
    let source = source.as_ref()?;
    if !policy.allows_source(source) {
        return Some(format!("source: {name} {version} comes from {source}"));
    }
    checksum
        .is_none()
        .then(|| format!("source: {name} {version} has no checksum"))
}

/// Names with more versions than one beside those that the policy lists.
fn duplicates(policy: &Policy, locked: &[Locked]) -> Vec<String> {
    let listed = |package: &&Locked| policy.skipped().all(|skipped| skipped != at_version(package));
    let mut versions: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for package in locked.iter().filter(listed) {
        versions.entry(&package.name).or_default().push(&package.version);
    }
    let several = versions.iter().filter(|(_name, versions)| versions.len() > 1);
    several
        .map(|(name, versions)| format!("versions: {name} is there as {}", versions.join(" and ")))
        .collect()
}

/// What the policy lists and nothing needs any more.
fn idle_skips(policy: &Policy, locked: &[Locked]) -> Vec<String> {
    let several = versions_of_duplicates(locked);
    let idle = policy
        .skipped()
        .filter(|skipped| !several.iter().any(|one| one == skipped));
    idle.map(|skipped| format!("versions: deny.toml lists {skipped}, which is not there beside another"))
        .collect()
}

/// Every version, as "name@version", of the packages that are there in more than one.
#[must_use]
pub fn versions_of_duplicates(locked: &[Locked]) -> Vec<String> {
    let count = |name: &str| locked.iter().filter(|package| package.name == name).count();
    let several = locked.iter().filter(|package| count(&package.name) > 1);
    several.map(at_version).collect()
}

fn at_version(package: &Locked) -> String {
    format!("{}@{}", package.name, package.version)
}

#[cfg(test)]
mod tests {
    use super::*;

    const POLICY: &str = r#"
        [licenses]
        allow = ["MIT", "Apache-2.0"]
        exceptions = [{ crate = "tool", allow = ["MPL-2.0"] }]
        [bans]
        skip = [{ crate = "twice@1.0.0", reason = "older" }]
        [sources]
        allow-registry = ["https://registry.example/index"]
    "#;

    fn package(name: &str, licence: Option<&str>) -> Package {
        Package {
            name: name.into(),
            version: "1.0.0".into(),
            licence: licence.map(str::to_owned),
            authors: Vec::new(),
            folder: "".into(),
        }
    }

    fn locked(name: &str, version: &str, source: Option<&str>, checksum: Option<&str>) -> Locked {
        Locked {
            name: name.into(),
            version: version.into(),
            source: source.map(str::to_owned),
            checksum: checksum.map(str::to_owned),
        }
    }

    fn good(name: &str, version: &str) -> Locked {
        locked(
            name,
            version,
            Some("registry+https://registry.example/index"),
            Some("0a"),
        )
    }

    fn found(locked: &[Locked], built: &[Package], linked: &[Package]) -> Vec<String> {
        let twice = [good("twice", "1.0.0"), good("twice", "2.0.0")];
        let locked = [&twice, locked].concat();
        Findings::of(&Policy::parse(POLICY).unwrap(), &locked, built, linked).lines
    }

    #[test]
    fn what_is_allowed_passes() {
        let linked = [
            package("slash", Some("MIT/Apache-2.0")),
            package("both", Some("MIT AND Apache-2.0")),
        ];
        let built = [
            &linked[..],
            &[
                package("tool", Some("MPL-2.0")),
                package("or", Some("GPL-2.0-only OR MIT")),
            ],
        ]
        .concat();
        let own = locked("own", "0.1.0", None, None);
        assert_eq!(
            found(&[own, good("a", "1.0.0")], &built, &linked),
            Vec::<String>::new()
        );
    }

    #[test]
    fn a_bad_licence_is_found() {
        let bad = [
            package("viral", Some("AGPL-3.0-only")),
            package("partly", Some("MIT AND AGPL-3.0-only")),
            package("silent", None),
            package("garbled", Some("whatever I like")),
        ];
        assert_eq!(
            found(&[], &bad, &[]),
            [
                "licence: viral 1.0.0 (for tests and commands) is under AGPL-3.0-only",
                "licence: partly 1.0.0 (for tests and commands) is under MIT AND AGPL-3.0-only",
                "licence: silent 1.0.0 (for tests and commands) tells none",
                "licence: garbled 1.0.0 (for tests and commands) is under whatever I like",
            ]
        );
    }

    #[test]
    fn an_exception_is_not_for_the_plug_ins() {
        let tool = [package("tool", Some("MPL-2.0"))];
        assert_eq!(
            found(&[], &tool, &tool),
            ["licence: tool 1.0.0 (linked into the plug-ins) is under MPL-2.0"]
        );
    }

    #[test]
    fn a_bad_source_is_found() {
        let git = locked(
            "fork",
            "1.0.0",
            Some("git+https://elsewhere.example/fork#0a"),
            None,
        );
        let other = locked(
            "other",
            "1.0.0",
            Some("registry+https://elsewhere.example/index"),
            Some("0a"),
        );
        let bare = locked(
            "bare",
            "1.0.0",
            Some("registry+https://registry.example/index"),
            None,
        );
        assert_eq!(
            found(&[git, other, bare], &[], &[]),
            [
                "source: fork 1.0.0 comes from git+https://elsewhere.example/fork#0a",
                "source: other 1.0.0 comes from registry+https://elsewhere.example/index",
                "source: bare 1.0.0 has no checksum",
            ]
        );
    }

    #[test]
    fn a_new_duplicate_and_an_idle_entry_are_found() {
        let policy = Policy::parse(POLICY).unwrap();
        let twice = [good("new", "0.1.0"), good("new", "0.2.0"), good("twice", "2.0.0")];
        assert_eq!(
            Findings::of(&policy, &twice, &[], &[]).lines,
            [
                "versions: new is there as 0.1.0 and 0.2.0",
                "versions: deny.toml lists twice@1.0.0, which is not there beside another",
            ]
        );
    }
}
