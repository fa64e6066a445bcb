//! The table of parameters as Markdown, as README has it.

use siskin_dsp::{PARAMETERS, ParamKind, ParamSpec};

/// Prints the table.
pub fn run() {
    print!("{}", markdown());
}

fn markdown() -> String {
    let head = "| id | name | range | default | what it is for |\n| --- | --- | --- | --- | --- |\n";
    PARAMETERS
        .iter()
        .fold(head.to_owned(), |table, spec| table + &row(spec))
}

fn row(spec: &ParamSpec) -> String {
    let only = match (spec.needs_reference, spec.automatable) {
        (true, _) => " (Siskin Follow only)",
        (_, false) => " (not automatable)",
        _ => "",
    };
    format!(
        "| `{}` | {}{only} | {} | {} | {} |\n",
        spec.id,
        spec.name,
        range(spec),
        value(spec, spec.default),
        spec.help
    )
}

fn range(spec: &ParamSpec) -> String {
    let ends = format!("{} ... {}", bare(spec, spec.min), value(spec, spec.max));
    match (spec.kind, spec.kind.stop()) {
        (ParamKind::Switch, _) => "off, on".to_owned(),
        (ParamKind::Choice(names), _) => names.join(", "),
        (_, Some(stop)) if stop < spec.min => format!("{}, {ends}", value(spec, stop)),
        (_, Some(stop)) => format!("{ends}, {}", value(spec, stop)),
        (_, None) => ends,
    }
}

/// A value without its unit.
fn bare(spec: &ParamSpec, value: f32) -> String {
    match spec.kind {
        ParamKind::Share => (value * 100.0).to_string(),
        _ => value.to_string(),
    }
}

fn value(spec: &ParamSpec, value: f32) -> String {
    let number = bare(spec, value);
    match spec.kind {
        ParamKind::Switch => if value > 0.5 { "on" } else { "off" }.to_owned(),
        ParamKind::Choice(names) => names[value as usize].to_owned(),
        ParamKind::HertzOrOff if value == 0.0 => "off".to_owned(),
        ParamKind::RatioOrInfinity if value == f32::INFINITY => "infinite".to_owned(),
        ParamKind::Level(unit) => format!("{number} {unit}"),
        ParamKind::Milliseconds => format!("{number} ms"),
        ParamKind::Hertz | ParamKind::HertzOrOff => format!("{number} Hz"),
        ParamKind::Share => format!("{number} %"),
        ParamKind::Ratio | ParamKind::RatioOrInfinity => format!("{number} : 1"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const README: &str = include_str!("../../../README.md");
    const BEGIN: &str = "<!-- The output of `cargo xtask parameters` -->\n";
    const END: &str = "<!-- End of the output -->\n";

    #[test]
    fn readme_has_the_table() {
        let (_, after) = README.split_once(BEGIN).expect("a first marker");
        let (table, _) = after.split_once(END).expect("a last marker");
        assert!(
            table.trim() == markdown().trim(),
            "put the output of `cargo xtask parameters` between the markers of README.md"
        );
    }

    #[test]
    fn ranges_and_defaults_have_their_units_and_stops() {
        let row = |id| row(ParamSpec::of(id).expect("a parameter"));
        assert!(row("sib_reach").contains("| 0 ... 100 % | 25 % |"));
        assert!(row("br_cut").contains("| off, 40 ... 1000 Hz | off |"));
        assert!(row("sib_ratio").contains("| 1 ... 20 : 1, infinite | 6 : 1 |"));
        assert!(row("look").contains("| 0 ms, 2 ms, 5 ms, 300 ms | 5 ms |"));
    }
}
