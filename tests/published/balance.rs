//! A whole model held at the instant at which it neither gains nor loses dry air.
//!
//! Published vent flows are those of a steady box: as much dry air leaves as enters. At the start
//! of a run the box is as warm as stated, but nothing makes up for the heat and vapour that leave,
//! so its gas shrinks and more would enter than leaves. The fan's motor is given the power that
//! makes up for both; then the pressures and flows of the first instant are the steady ones.

use super::data_file::root;
use drybench::model::flows::Posting;
use drybench::model::store::Holds;
use drybench::model::{Model, Plant};
use drybench::reader::Source;
use drybench::scenario::Scenario;

/// Inner height, temperatures and humidities, fan and openings of a box to balance.
#[derive(Clone, Debug)]
pub struct Case<'a> {
    pub height_mm: f64,
    pub inside: (f64, f64),
    pub room: (f64, f64),
    pub fan_pa: f64,
    pub circulation_l_s: f64,
    pub vents: &'a str,
}

impl Case<'_> {
    /// The reference box: 0.2 x 0.2 x 0.15 m, 65 °C 50 %RH in a room of 24 °C 45 %RH.
    pub fn reference(fan_pa: f64, vents: &str) -> Case<'_> {
        Case {
            height_mm: 150.0,
            inside: (65.0, 50.0),
            room: (24.0, 45.0),
            fan_pa,
            circulation_l_s: 8.0,
            vents,
        }
    }

    fn scenario(&self, motor_w: f64) -> String {
        let Case { height_mm, inside, room, fan_pa, circulation_l_s, vents } = self;
        format!(
            r#"
            [room]
            temperature       = "{} °C"
            relative_humidity = "{} %RH"
            [start]
            temperature       = "{} °C"
            relative_humidity = "{} %RH"
            [enclosure]
            inner_size   = ["200 mm", "200 mm", "{height_mm} mm"]
            wall         = {{ material = "ABS", thickness = "2.5 mm" }}
            supply_share = 0.5
            [heater]
            kind  = "resistive"
            power = "0 W"
            [control]
            kind = "off"
            [fan]
            circulation = "{circulation_l_s} L/s"
            pressure    = "{fan_pa} Pa"
            motor_power = "{motor_w} W"
            [run]
            duration = "1 s"
            {vents}
            "#,
            room.0, room.1, inside.0, inside.1
        )
    }

    /// The model with a fan motor of this power.
    pub fn build(&self, motor_w: f64) -> Model {
        let text = self.scenario(motor_w);
        let source = Source::from_bytes("balance", text.as_bytes());
        let read = Scenario::read(&source.expect("valid syntax"));
        read.unwrap_or_else(|issues| panic!("{issues:?}\n{text}")).0.build()
    }

    /// The model whose motor balances the dry air.
    pub fn balanced(&self) -> Model {
        let net = |motor_w: f64| {
            let model = self.build(motor_w);
            let mut plant = Plant::new(&model, 1e-6);
            let out = plant.instant(&settled(&model)).out_kg_s.to_vec();
            let size = out.iter().fold(0.0, |s: f64, m| s.max(m.abs()));
            (out.iter().sum::<f64>(), size)
        };
        // More power, more gas out: halve a bracket.
        let mut high = 1e-4;
        while net(high).0 < 0.0 && high < 200.0 {
            high *= 4.0;
        }
        let motor_w = root(0.0, high.min(200.0), |w| net(w).0);
        let (left, size) = net(motor_w);
        // A closed box with one hole has no flow at all to compare with: 1e-15 kg/s is nothing.
        assert!(left.abs() < 1e-8 * size + 1e-15, "{self:?}: {left:e} kg/s of dry air remain");
        self.build(motor_w)
    }
}

/// The start of a model with the gas at the pressure of the box, as it is a few seconds later: until
/// then the gas takes up or gives some of what passes.
fn settled(model: &Model) -> Vec<f64> {
    let total_pa = model.total_pa();
    let at_excess = |excess_pa: f64| {
        let (mut y, share) = (model.start(), excess_pa / total_pa);
        for zone in model.zones() {
            y[model.index_of_dry(zone.gas.dry)] *= 1.0 + share;
            y[model.index_of_water(zone.gas.water)] *= 1.0 + share;
            let heat = &mut y[model.index_of_heat(zone.gas.heat)];
            *heat += share * (*heat - total_pa * zone.volume_m3);
        }
        y
    };
    let mut plant = Plant::new(model, 1e-6);
    let mut over = |excess_pa: f64| plant.instant(&at_excess(excess_pa)).p0_pa - excess_pa;
    at_excess(root(-100.0, 100.0, &mut over))
}

/// What leaves a balanced box.
#[derive(Clone, Copy, Debug)]
pub struct Vented {
    /// Hot mixture leaving \[L/min\].
    pub l_min: f64,
    /// Vapour leaving with it less vapour entering \[g/h\]; without diffusion.
    pub net_g_h: f64,
    /// Gauge pressure at the floor \[Pa\].
    pub p0_pa: f64,
    /// Room density minus box density \[kg/m3\].
    pub lighter_kg_m3: f64,
}

/// Flows of the first instant.
pub fn vented(model: &Model) -> Vented {
    let mut plant = Plant::new(model, 1e-6);
    let at = plant.instant(&settled(model));
    let out: f64 = at.out_kg_s.iter().filter(|m| **m > 0.0).sum();
    let (air, room) = (&at.zones[0].air, &at.room);
    Vented {
        l_min: out / air.dry_kg_m3 * 60e3,
        net_g_h: out * (air.ratio - room.ratio) * 3.6e6,
        p0_pa: at.p0_pa,
        lighter_kg_m3: room.density - air.density,
    }
}

/// Water that one part moves at the first instant \[g/h\].
pub fn water_of_part_g_h(model: &Model, name: &str) -> f64 {
    let mut journal: Vec<Posting> = Vec::new();
    let mut plant = Plant::new(model, 1e-6);
    plant.explain(&settled(model), &mut journal);
    let own = |p: &&Posting| p.holds == Holds::Water && model.part_name(p.part) == name;
    journal.iter().filter(own).map(|p| p.rate).sum::<f64>() * 3.6e6
}
