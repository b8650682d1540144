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
        println!("{}", agreement::markdown(&all));
        let short = all.iter().filter(|a| a.is_empty()).count();
        assert_eq!(short, 0, "a comparison without rows proves nothing");
    }
}
