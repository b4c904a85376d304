use super::*;
use serde_json::json;

fn by_default(base: Option<&Value>, here: &Value, there: &Value) -> (Value, Vec<Difference>) {
    let mut found = Vec::new();
    let merged = merge(base, here, there, &mut |difference| {
        found.push(difference.clone());
        difference.side
    });
    (merged, found)
}

fn paths(found: &[Difference]) -> Vec<String> {
    found.iter().map(|d| d.path.join(".")).collect()
}

#[test]
fn what_one_side_changed_is_taken_from_it() {
    let base = json!({"text": "C1 .05\nC2 .1\n", "notes": "old"});
    let here = json!({"text": "C1 .05 400 V\nC2 .1\n", "notes": "old"});
    let there = json!({"text": "C1 .05\nC2 .1\nC3 .2\n", "notes": "new"});
    let (merged, found) = by_default(Some(&base), &here, &there);
    assert_eq!(merged, json!({"text": "C1 .05 400 V\nC2 .1\nC3 .2\n", "notes": "new"}));
    assert_eq!(paths(&found), ["notes", "text.C1", "text.C3"]);
    assert_eq!(
        found.iter().map(|d| d.moved).collect::<Vec<_>>(),
        [Moved::Only(Side::There), Moved::Only(Side::Here), Moved::Only(Side::There)]
    );
}

#[test]
fn a_line_changed_on_both_sides_is_a_clash_that_can_be_chosen() {
    let base = json!({"text": "C1 .05\nC2 .1"});
    let here = json!({"text": "C1 .05 400 V\nC2 .1"});
    let there = json!({"text": "C1 .05 600 V\nC2 .1"});
    let (merged, found) = by_default(Some(&base), &here, &there);
    assert_eq!(merged, here);
    assert_eq!(found[0].moved, Moved::Both);
    assert_eq!(merge(Some(&base), &here, &there, &mut |_| Side::There), there);
}

#[test]
fn a_removal_is_taken_and_a_change_is_stronger_than_a_removal() {
    let base = json!({"text": "C1 .05\nC2 .1\nC3 .2"});
    let here = json!({"text": "C1 .05\nC3 .2"});
    let there = json!({"text": "C1 .05\nC2 .1\nC3 .2 600 V"});
    assert_eq!(by_default(Some(&base), &here, &there).0["text"], "C1 .05\nC3 .2 600 V");
    let there = json!({"text": "C1 .05\nC2 .1 mica\nC3 .2"});
    assert_eq!(by_default(Some(&base), &here, &there).0["text"], "C1 .05\nC2 .1 mica\nC3 .2");
}

#[test]
fn without_a_base_both_sides_are_kept_together() {
    let here = json!({"text": "C1 .05\nC2 .1", "parts": {"C1": {"done-at": 5, "measured": "a"}}});
    let there = json!({"text": "C1 .05\nC9 1", "parts": {"C1": {"done-at": null, "measured": ""},
        "C2": {"done-at": 9}}});
    let (merged, found) = by_default(None, &here, &there);
    assert_eq!(merged["text"], "C1 .05\nC9 1\nC2 .1");
    assert_eq!(
        merged["parts"],
        json!({"C1": {"done-at": 5, "measured": "a"}, "C2": {"done-at": 9}})
    );
    assert!(found.iter().all(|d| d.moved != Moved::Both), "{found:?}");
}

#[test]
fn moments_settle_themselves() {
    let here = json!({"changed": 5, "done-at": 30});
    let there = json!({"changed": 9, "done-at": 20});
    let (merged, found) = by_default(None, &here, &there);
    assert_eq!(merged, json!({"changed": 9, "done-at": 20}));
    assert!(found.is_empty());
    // A check that one side took back stays taken back.
    let base = json!({"done-at": 30});
    let (merged, _) = by_default(Some(&base), &base, &json!({"done-at": null}));
    assert_eq!(merged, json!({"done-at": null}));
}

#[test]
fn lists_are_merged_by_id_or_by_what_they_hold() {
    let base = json!([{"id": 1, "n": "a"}, {"id": 2, "n": "b"}]);
    let here = json!([{"id": 3, "n": "c"}, {"id": 1, "n": "a"}, {"id": 2, "n": "B"}]);
    let there = json!([{"id": 4, "n": "d"}, {"id": 1, "n": "A"}]);
    let (merged, _) = by_default(Some(&base), &here, &there);
    assert_eq!(
        merged,
        json!([{"id": 4, "n": "d"}, {"id": 3, "n": "c"}, {"id": 1, "n": "A"}, {"id": 2, "n": "B"}])
    );
    let (merged, _) =
        by_default(Some(&json!(["a", "b"])), &json!(["a", "b", "c"]), &json!(["b", "b"]));
    assert_eq!(merged, json!(["b", "b", "c"]));
}

#[test]
fn wires_areas_and_remarks_of_both_sides_stay() {
    let base = json!({"text": "wire a b"});
    let here = json!({"text": "wire a b\nwire c d\narea front: C1\n# mine"});
    let there = json!({"text": "wire a b\nwire e f\narea front: C1 C2\n# theirs"});
    let (merged, found) = by_default(Some(&base), &here, &there);
    let text = merged["text"].as_str().unwrap_or_default();
    for line in ["wire a b", "wire c d", "wire e f", "# mine", "# theirs"] {
        assert_eq!(text.lines().filter(|l| *l == line).count(), 1, "{line}: {text}");
    }
    assert_eq!(
        paths(&found.into_iter().filter(|d| d.moved == Moved::Both).collect::<Vec<_>>()),
        ["text.area front"]
    );
}

#[test]
fn a_side_that_did_not_move_gives_the_other_to_the_letter() {
    let base = json!({"text": "C1 .05\n\n# x\nC2 .1\nC2 .2\n\n", "parts": {}});
    let moved = json!({"text": "\nC2 .1\nC1 .05\r\n# x\nC2 .3", "parts": {"C1": {"note": "n"}}});
    assert_eq!(by_default(Some(&base), &moved, &base).0, moved);
    assert_eq!(by_default(Some(&base), &base, &moved).0, moved);
    assert_eq!(by_default(Some(&base), &moved, &moved).0, moved);
}

#[test]
fn indented_lines_go_with_the_line_that_they_go_on_from() {
    let base = json!({"text": "T1 power\n secondary 3 to 5\nC1 1"});
    let here = json!({"text": "T1 power\n secondary 3 to 6\nC1 1"});
    let there =
        json!({"text": "C0 1\nT1 power\n secondary 3 to 5\nT2 output\n\tprimary 1 to 2\nC1 2"});
    let merged = by_default(Some(&base), &here, &there).0;
    assert_eq!(
        merged["text"],
        "C0 1\nT1 power\n secondary 3 to 6\nT2 output\n\tprimary 1 to 2\nC1 2"
    );
}

#[test]
fn ten_thousand_lines_merge_in_a_moment() {
    let lines = |unit: &str| {
        let all: Vec<String> = (0..10_000).map(|n| format!("R{n} 470{unit}\n\n")).collect();
        all.concat()
    };
    let (base, here) = (json!({"text": lines("K")}), json!({"text": lines("M")}));
    let there = json!({"text": lines("K") + "C1 .05"});
    let merged = by_default(Some(&base), &here, &there).0;
    assert_eq!(merged["text"], json!(lines("M") + "C1 .05"));
}
