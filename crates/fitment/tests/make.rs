//! A shipped header made into a model from layout to plates.

mod shared;

use fitment::{NoStore, Settings, Silent, Variant, make};

/// The smallest shipped header on one thread and on four: the same to the last digit.
#[test]
fn a_model_is_the_same_on_any_number_of_threads() {
    let (_, design, layout) = shared::designs().into_iter().find(|(name, ..)| name == "shed-twin").unwrap();
    let model = |threads: usize| {
        let printer = design.shop.printer.clone();
        let settings = Settings { printer, variant: Variant::Solid, chord: 0.05, threads };
        make(&design, &layout, &settings, &NoStore, &Silent).unwrap()
    };
    let (one, four) = (model(1), model(4));
    assert!(one.parts.len() > 1 && !one.collars.is_empty());
    assert_eq!(format!("{one:?}"), format!("{four:?}"));
}
