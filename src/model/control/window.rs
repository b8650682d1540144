//! Time proportioning, switch by switch: the element is on for a share of each window.

use super::decider::Decider;
use super::pi::{Pi, WindowSpec};
use crate::address::Change;
use crate::model::element::Element;
use crate::model::part::Modes;
use crate::model::reading::See;

/// Shortest on or off time of a switch \[s\]: half a cycle of a zero-crossing switch and more
/// (0.3 to 0.5 s, common practice).
const SHORTEST_S: f64 = 0.3;

impl WindowSpec {
    /// Makes the switch of a PI controller.
    pub fn build(&self, pi: &Pi, element: &Element, limit: f64) -> Window {
        Window { pi: pi.clone(), element: element.clone(), limit, length_s: self.length_s }
    }
}

/// Takes the duty at the start of each window.
#[derive(Clone, Debug)]
pub struct Window {
    pi: Pi,
    element: Element,
    /// Largest share of the time.
    limit: f64,
    length_s: f64,
}

impl Decider for Window {
    fn guards(&self) -> usize {
        2
    }

    fn values(&self, see: &See<'_>, modes: &Modes, out: &mut [f64]) {
        out[0] = see.time_s - modes.window.0;
        out[1] = see.time_s - modes.window.1;
    }

    fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change> {
        let was = modes.heater_on;
        if see.is_due(modes.window.0) {
            let full_w = self
                .element
                .full_power_w(see.solid_k(self.element.heat, self.element.capacity_j_k));
            let on_s = self.pi.duty(see, modes, full_w, self.limit) * self.length_s;
            modes.window.0 = see.time_s + self.length_s;
            // A time too short to switch is left out, at either end of the window.
            let on_s = if on_s < SHORTEST_S { 0.0 } else { on_s };
            let whole = self.length_s - on_s < SHORTEST_S;
            modes.window.1 = see.time_s + if whole { 2.0 * self.length_s } else { on_s };
            modes.heater_on = on_s > 0.0;
        } else if see.is_due(modes.window.1) {
            modes.heater_on = false;
        }
        match (was, modes.heater_on) {
            (false, true) => Some(Change::HeaterOn),
            (true, false) => Some(Change::HeaterOff),
            _ => None,
        }
    }
}
