//! Agreement with values from outside: property libraries, correlations coded by others, textbook
//! examples, and tables that were worked out independently of this code.
//!
//! The values lie in `tests/published/data/`, each file with its source on top. A tolerance is what
//! the source claims, or the known gap between two ways of calculating, with the reason beside it;
//! where ours and theirs disagree by more than either claims, the remark says so in words.
//! `cargo test --test published -- --nocapture` prints everything.

mod published {
    pub mod agreement;
    pub mod balance;
    pub mod convection;
    pub mod data_file;
    pub mod diffusion;
    pub mod elements;
    pub mod examples;
    pub mod exhaust;
    pub mod filament;
    pub mod liquid;
    pub mod moist_air;
    pub mod network;
    pub mod openings;
    pub mod pad;
    pub mod receding;
    pub mod saturation;
    pub mod sorption;
    pub mod still_air;
    pub mod transport;
    pub mod walls;
    pub mod weather;
    pub mod winding;

    /// The chapter of the guide that shows the table, from this line to that.
    const CHAPTER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/src/guide/validation.md");
    const FROM: &str = "<!-- from here on made by tests/published -->\n";
    const TO: &str = "<!-- up to here -->";

    /// The chapter shows this table; `DRYBENCH_BLESS=1` writes it there.
    fn in_step(table: &str) {
        let text = std::fs::read_to_string(CHAPTER).expect("the chapter");
        let (before, rest) = text.split_once(FROM).expect("the line above the table");
        let (shown, after) = rest.split_once(TO).expect("the line below the table");
        if std::env::var_os("DRYBENCH_BLESS").is_some() {
            std::fs::write(CHAPTER, format!("{before}{FROM}{table}{TO}{after}")).expect("written");
            return;
        }
        let lines = shown.lines().zip(table.lines());
        for (old, new) in lines.filter(|(old, new)| old != new) {
            eprintln!("the guide shows\n{old}\nand the comparison gives\n{new}\n");
        }
        assert!(
            shown == table,
            "src/guide/validation.md is out of step; DRYBENCH_BLESS=1 writes it anew"
        );
    }

    /// Everything as one Markdown table.
    #[test]
    fn table_of_agreement() {
        let all = [
            saturation::agreements(),
            moist_air::agreements(),
            transport::agreements(),
            convection::agreements(),
            openings::agreements(),
            liquid::agreements(),
            diffusion::agreements(),
            network::agreements(),
            exhaust::agreements(),
            elements::agreements(),
            pad::agreements(),
            receding::agreements(),
            still_air::agreements(),
            walls::agreements(),
            sorption::agreements(),
            filament::agreements(),
            examples::agreements(),
            weather::agreements(),
        ]
        .concat();
        in_step(&agreement::markdown(&all));
        let short = all.iter().filter(|a| a.is_empty()).count();
        assert_eq!(short, 0, "a comparison without rows proves nothing");
    }
}
