//! The policy: `deny.toml`, as far as it is read here.

use anyhow::{Context, Result};
use serde::Deserialize;
use spdx::{Expression, Licensee, ParseMode};

use crate::workspace::Workspace;

/// What `deny.toml` allows.
#[derive(Debug, Clone, Deserialize)]
pub struct Policy {
    licenses: Licences,
    bans: Bans,
    sources: Sources,
}

#[derive(Debug, Clone, Deserialize)]
struct Licences {
    allow: Vec<String>,
    #[serde(default)]
    exceptions: Vec<Exception>,
}

#[derive(Debug, Clone, Deserialize)]
struct Exception {
    #[serde(rename = "crate")]
    name: String,
    allow: Vec<String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Bans {
    skip: Vec<Skip>,
}

#[derive(Debug, Clone, Deserialize)]
struct Skip {
    #[serde(rename = "crate")]
    name_at_version: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Sources {
    allow_registry: Vec<String>,
}

impl Policy {
    /// Reads `deny.toml` in the workspace's folder.
    ///
    /// # Errors
    ///
    /// A file that is missing or not of that form.
    pub fn read(workspace: &Workspace) -> Result<Self> {
        let path = workspace.root.join("deny.toml");
        let text =
            std::fs::read_to_string(&path).with_context(|| format!("{} cannot be read", path.display()))?;
        Self::parse(&text)
    }

    /// Reads a policy from text.
    ///
    /// # Errors
    ///
    /// A text that is no policy.
    pub fn parse(text: &str) -> Result<Self> {
        toml::from_str(text).context("deny.toml is not of the form that is read here")
    }

    /// Whether the package `name` may come under `licence`, an SPDX expression. `linked`: exceptions are for what stays out
    /// of the plug-ins.
    #[must_use]
    pub fn allows_licence(&self, name: &str, licence: &str, linked: bool) -> bool {
        let exceptions = self
            .licenses
            .exceptions
            .iter()
            .filter(|exception| !linked && exception.name == name);
        let allowed: Vec<Licensee> = exceptions
            .flat_map(|exception| &exception.allow)
            .chain(&self.licenses.allow)
            .filter_map(|allowed| Licensee::parse(allowed).ok())
            .collect();
        Expression::parse_mode(licence, ParseMode::LAX).is_ok_and(|expression| {
            expression.evaluate(|asked| allowed.iter().any(|allowed| allowed.satisfies(asked)))
        })
    }

    /// Whether packages may come from `source`, in the form of `Cargo.lock`.
    #[must_use]
    pub fn allows_source(&self, source: &str) -> bool {
        let registry = source.strip_prefix("registry+");
        registry.is_some_and(|registry| {
            self.sources
                .allow_registry
                .iter()
                .any(|allowed| allowed == registry)
        })
    }

    /// The versions, as "name@version", that may stand beside another of the same name.
    pub fn skipped(&self) -> impl Iterator<Item = &str> {
        self.bans.skip.iter().map(|skip| skip.name_at_version.as_str())
    }
}
