//! Whether a run that was read back is one that was written.

use std::collections::HashSet;

use serde::Deserialize;

use super::{Run, SCHEMA_VERSION};

impl Run {
    /// A saved run, as [`Run::check`] accepts it.
    ///
    /// # Errors
    /// That it has another layout, or what is wrong with it.
    pub fn read(text: &str) -> Result<Self, String> {
        #[derive(Deserialize)]
        struct Layout {
            schema_version: u32,
        }
        let no_run = |e: serde_json::Error| format!("is no saved run ({e})");
        let layout: Layout = serde_json::from_str(text).map_err(no_run)?;
        if layout.schema_version != SCHEMA_VERSION {
            let own = layout.schema_version;
            return Err(format!(
                "has version {own} of the layout of a run, and this program reads version \
                 {SCHEMA_VERSION}: simulate it anew"
            ));
        }
        let run: Self = serde_json::from_str(text).map_err(no_run)?;
        run.check().map_err(|what| format!("is a damaged run: {what}"))?;
        Ok(run)
    }

    /// Checks what results rely on.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn check(&self) -> Result<(), String> {
        let rows = self.time_s.len();
        if rows == 0 {
            return Err("it has no samples".into());
        }
        if !self.time_s.iter().all(|t| t.is_finite()) || !self.time_s.is_sorted_by(|a, b| a < b) {
            return Err("the times in time_s do not rise".into());
        }
        let mut names = HashSet::new();
        for column in &self.columns {
            let (name, len) = (&column.name, column.values.len());
            if len != rows {
                return Err(format!("column {name} has {len} values for {rows} times"));
            }
            if !names.insert(name) {
                return Err(format!("column {name} is there twice"));
            }
        }
        Ok(())
    }
}
