//! The lines of the accounts of water and energy, as columns of the table.

use crate::address::account_head;
use crate::run::{Ledger, Run};

/// One line of an account.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Account {
    quantity: Quantity,
    side: Side,
    name: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Quantity {
    Water,
    Energy,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Side {
    From,
    To,
}

impl Account {
    /// All lines of the accounts of water and energy.
    pub(super) fn all(accounts: &[Ledger; 2]) -> Vec<Account> {
        let mut all = Vec::new();
        for (quantity, ledger) in [Quantity::Water, Quantity::Energy].into_iter().zip(accounts) {
            let mut add = |side, name: &str| {
                let line = Account { quantity, side, name: name.to_owned() };
                if !all.contains(&line) {
                    all.push(line);
                }
            };
            ledger.sources.iter().for_each(|r| add(Side::From, &r.name));
            ledger.uses.iter().for_each(|r| add(Side::To, &r.name));
        }
        all
    }

    /// Head of its column: `water_to_out_through_vent_low_g`.
    #[must_use]
    pub fn key(&self) -> String {
        account_head(self.quantity.word(), self.word(), &self.name, self.unit())
    }

    /// Unit of its amounts.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        match self.quantity {
            Quantity::Water => "g",
            Quantity::Energy => "Wh",
        }
    }

    /// What it is, for people.
    #[must_use]
    pub fn meaning(&self) -> String {
        format!("{}, {}: {}", self.quantity.word(), self.word(), self.name)
    }

    fn word(&self) -> &'static str {
        if self.side == Side::From { "from" } else { "to" }
    }

    /// Its amount in a run; none where the run has no such line.
    pub(super) fn amount(&self, run: &Run) -> Option<f64> {
        let ledger = self.quantity.of(run);
        let rows = if self.side == Side::From { &ledger.sources } else { &ledger.uses };
        rows.iter().find(|r| r.name == self.name).map(|r| r.amount)
    }
}

impl Quantity {
    fn of(self, run: &Run) -> &Ledger {
        if self == Quantity::Water { &run.water } else { &run.energy }
    }

    fn word(self) -> &'static str {
        if self == Quantity::Water { "water" } else { "energy" }
    }
}
