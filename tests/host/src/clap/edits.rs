//! What a plug-in tells its host about parameters: gestures and values.

/// One thing that a plug-in sent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edit {
    /// A person has taken hold of a parameter.
    Begin(u32),
    /// A parameter has a new value, in CLAP's scale.
    Value(u32, f64),
    /// A person has let go of a parameter.
    End(u32),
}

/// One whole gesture: everything between taking hold of a parameter and letting go of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Gesture {
    /// The parameter.
    pub parameter: u32,
    /// Its values on the way, in CLAP's scale.
    pub values: Vec<f64>,
}

/// The gestures among `edits`, in the order of their ends. An error says in one line where a gesture begins twice, ends
/// without a beginning or is left open, or where a value comes outside one.
pub fn gestures(edits: &[Edit]) -> Result<Vec<Gesture>, String> {
    let (mut open, mut whole): (Vec<Gesture>, Vec<Gesture>) = (Vec::new(), Vec::new());
    for edit in edits {
        let (Edit::Begin(parameter) | Edit::Value(parameter, _) | Edit::End(parameter)) = *edit;
        let held = open.iter().position(|gesture| gesture.parameter == parameter);
        match (*edit, held) {
            (Edit::Begin(_), None) => open.push(Gesture {
                parameter,
                values: Vec::new(),
            }),
            (Edit::Value(_, value), Some(held)) => open[held].values.push(value),
            (Edit::End(_), Some(held)) => whole.push(open.remove(held)),
            (Edit::Begin(_), Some(_)) => return Err(format!("{parameter} is taken hold of twice")),
            (Edit::Value(..), None) => return Err(format!("{parameter} moves while nobody holds it")),
            (Edit::End(_), None) => return Err(format!("{parameter} is let go of without being held")),
        }
    }
    match open.first() {
        Some(gesture) => Err(format!("{} is never let go of", gesture.parameter)),
        None => Ok(whole),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn broken_gestures_are_errors() {
        let [begin, end] = [Edit::Begin, Edit::End];
        let whole = [
            begin(1),
            Edit::Value(1, 0.5),
            begin(2),
            Edit::Value(1, 0.6),
            end(2),
            end(1),
        ];
        let found = gestures(&whole).unwrap();
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].values, Vec::<f64>::new());
        assert_eq!(found[1].values, [0.5, 0.6]);
        for broken in [&whole[..5], &whole[1..], &[begin(1), begin(1)], &[end(1)]] {
            assert!(gestures(broken).is_err(), "{broken:?}");
        }
    }
}
