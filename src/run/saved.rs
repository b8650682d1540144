//! Whether a run that was read back is one that was written.

use std::collections::HashSet;

use super::{Run, SCHEMA_VERSION};

impl Run {
    /// Checks what results rely on.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn check(&self) -> Result<(), String> {
        if self.schema_version != SCHEMA_VERSION {
            let own = self.schema_version;
            return Err(format!("it has layout {own}, and this program reads {SCHEMA_VERSION}"));
        }
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
