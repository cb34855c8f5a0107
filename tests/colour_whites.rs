//! Black bodies, daylight, filters and shifts against published tables and independent computations.

mod common;

#[test]
fn reads_the_special_numbers_of_a_table() {
    let table = common::csv("mired.csv");
    assert!(table.rows().count() > 1);
    let special = common::Csv::parse("special", "# a note\na,b,c\nnan,inf,-inf\n");
    let row = special.rows().next().expect("one row");
    assert!(row.number("a").is_nan());
    assert_eq!(row.numbers(["b", "c"]), [f64::INFINITY, f64::NEG_INFINITY]);
}
