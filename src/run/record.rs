//! Records samples on the output grid from the solver's dense output.

use super::columns::probes;
use super::ledger;
use super::moisture;
use super::probe::Probe;
use super::watch::Watch;
use super::{Column, Last, Run, SCHEMA_VERSION, metrics, warnings};
use crate::address::Event;
use crate::model::events::Action;
use crate::model::{Model, Plant};
use crate::scenario::Scenario;
use crate::solver::Segment;

/// When rows are due.
pub(super) enum Due {
    /// At the start, in equal steps \[s\], and at the end \[s\].
    Every(f64, f64),
    /// At these times \[s\].
    At(Vec<f64>),
}

/// What of a run is recorded beside metrics and accounts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Record<'a> {
    /// All there is, layers of spools too.
    Detail,
    /// All but the layers of spools.
    Usual,
    /// The columns of these heads.
    Heads(&'a [String]),
}

impl Record<'_> {
    pub(super) fn wants(&self, column: &Column) -> bool {
        match self {
            Record::Detail => true,
            Record::Usual => !column.address.place.is_detail(),
            Record::Heads(heads) => heads.contains(&column.name),
        }
    }
}

pub(super) struct Recorder {
    due: Due,
    time_s: Vec<f64>,
    columns: Vec<(Probe, Column)>,
    y: Vec<f64>,
}

impl Recorder {
    /// Records the columns that are wanted.
    pub(super) fn new(
        scenario: &Scenario,
        model: &Model,
        due: Due,
        wanted: impl Fn(&Column) -> bool,
    ) -> Self {
        let rows = match &due {
            Due::Every(step_s, end_s) => (end_s / step_s) as usize + 2,
            Due::At(times_s) => times_s.len() + 1,
        };
        let names = model.names();
        let columns = probes(scenario, model).into_iter().map(|(probe, address)| {
            let column = Column {
                address,
                name: names.head(address),
                label: names.label(address),
                unit: address.quantity.unit().into(),
                values: Vec::with_capacity(rows),
                peak: None,
            };
            (probe, column)
        });
        Recorder {
            due,
            time_s: Vec::with_capacity(rows),
            columns: columns.filter(|(_, c)| wanted(c)).collect(),
            y: vec![0.0; model.entries().len()],
        }
    }

    /// Writes the row of the start, if it is due.
    pub(super) fn start(&mut self, plant: &mut Plant<'_>, y: &[f64]) {
        if self.next() == Some(0.0) {
            self.sample(plant, 0.0, y);
        }
    }

    /// When the next row is due.
    fn next(&self) -> Option<f64> {
        let rows = self.time_s.len();
        match &self.due {
            Due::At(times) => times.get(rows).copied(),
            Due::Every(_, end) if self.time_s.last().is_some_and(|last| last >= end) => None,
            Due::Every(step, end) => Some((rows as f64 * step).min(*end)),
        }
    }

    /// Writes one row.
    fn sample(&mut self, plant: &mut Plant<'_>, t: f64, y: &[f64]) {
        self.time_s.push(t);
        if self.columns.is_empty() {
            return;
        }
        let model = plant.model();
        let instant = plant.instant(y);
        // The resistances of a load are found together, once for a row.
        let mut shares = None;
        for (probe, column) in &mut self.columns {
            let value = match probe {
                Probe::DryingResistance(load, what) => {
                    let known = shares.filter(|(of, _)| of == load);
                    let found = || (*load, moisture::shares_pct(model, *load, &instant, y));
                    shares.insert(known.unwrap_or_else(found)).1[*what as usize]
                }
                probe => probe.value(model, &instant, y),
            };
            column.values.push(value);
        }
    }

    /// Writes the rows that are due in one accepted step up to `until`.
    pub(super) fn follow(&mut self, plant: &mut Plant<'_>, segment: &Segment<'_>, until: f64) {
        let mut y = std::mem::take(&mut self.y);
        while let Some(next) = self.next().filter(|t| *t <= until) {
            segment.eval(next, &mut y);
            self.sample(plant, next, &y);
        }
        self.y = y;
    }

    /// Writes a last row where a run ends before its time.
    fn end(&mut self, plant: &mut Plant<'_>, t: f64, y: &[f64]) {
        if self.time_s.last().is_none_or(|last| *last < t) {
            self.sample(plant, t, y);
        }
    }

    /// What is recorded.
    pub(super) fn probes(&self) -> impl Iterator<Item = Probe> + '_ {
        self.columns.iter().map(|(probe, _)| *probe)
    }

    /// The columns recorded.
    pub(super) fn columns(self) -> impl Iterator<Item = Column> {
        self.columns.into_iter().map(|(_, c)| c)
    }

    /// The whole run.
    pub(super) fn finish(
        mut self,
        scenario: &Scenario,
        last: Last<'_>,
        watch: &Watch,
        table: &metrics::MetricTable,
    ) -> Run {
        let Last { mut plant, y, mut effort, ended } = last;
        let (plant, y) = (&mut plant, &y[..]);
        let model = plant.model();
        let end_s = ended.as_ref().map_or(scenario.run.duration_s, |e| e.time_s);
        if ended.is_some() {
            self.end(plant, end_s, y);
        }
        let switchings: Vec<f64> = plant
            .events()
            .iter()
            .filter(|(t, change)| *t > 0.0 && change.is_switching())
            .map(|(t, _)| *t)
            .collect();
        effort.switchings = switchings.len();
        let events = events(model, plant, end_s);
        let (water, energy) = (ledger::water(model, y), ledger::energy(model, y));
        let at = plant.instant(y);
        let seen = metrics::Seen {
            watch,
            model,
            at: &at,
            y,
            end_s,
            ended: ended.is_some(),
            switchings: &switchings,
        };
        let metrics = table.tell(&seen);
        let all = probes(scenario, model);
        let notes = warnings::of(&seen, table, &metrics, ended.as_ref(), |probe| {
            let found = all.iter().find(|(p, _)| p == probe);
            found.map_or(String::new(), |(_, at)| model.names().label(*at))
        });
        for (probe, column) in &mut self.columns {
            column.peak = table.peak(watch, probe);
        }
        Run {
            schema_version: SCHEMA_VERSION,
            program_version: env!("CARGO_PKG_VERSION").into(),
            title: scenario.title.clone(),
            names: model.names().clone(),
            time_s: self.time_s,
            columns: self.columns.into_iter().map(|(_, c)| c).collect(),
            metrics,
            water,
            energy,
            events,
            effort,
            warnings: notes,
            ended,
        }
    }
}

fn events(model: &Model, plant: &Plant<'_>, end_s: f64) -> Vec<Event> {
    // A schedule may step every second; only its switchings are shown.
    let shown = model.events().iter().filter(|e| !matches!(e.action, Action::Heater(_)));
    let scheduled = shown.map(|e| Event {
        time_s: e.at_s,
        place: e.action.place(),
        change: e.action.change(),
        name: Some(e.name.clone()),
    });
    let decided = plant.events().iter().map(|(time_s, change)| Event {
        time_s: *time_s,
        place: change.place(),
        change: *change,
        name: None,
    });
    let mut all: Vec<Event> = scheduled.chain(decided).collect();
    all.retain(|h| h.time_s <= end_s);
    all.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    all
}
