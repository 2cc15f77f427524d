//! Rallying.

use super::*;
use crate::protocol::{RallyOutcome, Standing};

#[test]
fn rally_scores_and_what_they_bring() {
    let base = foot(&[("A", "Vale", 4)]);
    for (standing, faces, outcome) in [
        (Standing::Shaken, [2, 4], RallyOutcome::Steady),
        (Standing::Shaken, [2, 3], RallyOutcome::StaysShaken),
        (Standing::Routing, [4, 4], RallyOutcome::Shaken),
        (Standing::Routing, [3, 4], RallyOutcome::Leaves),
    ] {
        let field = with(base.clone(), "A", |unit| unit.standing = standing);
        let ruling = rally(&rules(), &field, "A", &mut Laid::new([("A", &faces[..])])).unwrap();
        assert_eq!(ruling.outcome, outcome, "{standing:?} {faces:?}");
    }
    let refused = rally(&rules(), &base, "A", &mut Laid::new([])).unwrap_err();
    assert_eq!(refused.to_string(), "A is steady and needs no rally.");
}
