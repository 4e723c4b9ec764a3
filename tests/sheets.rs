//! What is made from a plan for bench and printer: parts, diagram, tags, steps, charts.

use cellwright::Urgency;
use cellwright::ask::{ask, decode, read};
use cellwright::part::marking::Marking;
use cellwright::plan::report::Verdict;
use cellwright::plan::{FuseChoice, Plan, Protection};
use cellwright::quantity::draw::Draws;
use cellwright::quantity::text::Decimal;
use cellwright::quantity::tongue::Tongue;
use cellwright::sheet::build_steps::BuildSteps;
use cellwright::sheet::charts::Charts;
use cellwright::sheet::diagram::Diagram;
use cellwright::sheet::drawing::{Anchor, Drawing, Ink, Shape, text_width};
use cellwright::sheet::drawn::{DrawnQuestion, DrawnSheet};
use cellwright::sheet::files::SvgFiles;
use cellwright::sheet::parts::{PartKind, PartsList};
use cellwright::sheet::points::TestPoint;
use cellwright::sheet::tag::Tags;
use serde_json::{Value, json};
use std::sync::OnceLock;

const PUMP: &str = include_str!("plans/watering-pump.json");
const BLOWER: &str = include_str!("plans/seed-drying-blower.json");
const LAMP: &str = include_str!("plans/market-stall-lamp.json");

/// Names as somebody might send them to do harm. Invented.
const HOSTILE: [&str; 6] = [
    "</text><script>alert(1)</script>",
    "a\" onload=\"x\" b='c' & <![CDATA[ ]]> &#x3c;",
    "\u{202e}gnp.exe\u{0}\u{1b}\u{7f}\u{fffe}",
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
    "\u{fdfd}\u{fdfd}\u{fdfd}漢字漢字漢字漢字漢字漢字漢字漢字",
    "",
];

fn plan(value: &Value) -> Plan {
    decode(&read(&value.to_string()).unwrap()).unwrap_or_else(|errors| panic!("{errors:?}"))
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn set(plan: &Value, pointer: &str, value: Value) -> Value {
    let mut changed = plan.clone();
    *changed.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer}")) = value;
    changed
}

/// The plan with every name replaced.
fn named(plan: &Value, name: &str) -> Value {
    let mut changed = plan.clone();
    rename(&mut changed, name);
    changed
}

fn rename(node: &mut Value, name: &str) {
    match node {
        Value::Array(list) => list.iter_mut().for_each(|value| rename(value, name)),
        Value::Object(map) => {
            for (key, value) in map.iter_mut() {
                if key == "name" { *value = json!(name) } else { rename(value, name) }
            }
        }
        _ => {}
    }
}

/// The blower with another timer circuit.
fn with_circuit(circuit: Value) -> Value {
    set(&json(BLOWER), "/control/timer/circuit", circuit)
}

/// `series` groups of `parallel` cells like the pump's first.
fn of_size(series: usize, parallel: usize) -> Value {
    let pump = json(PUMP);
    let cell = pump["pack"]["groups"][0]["cells"][0].clone();
    let group = json!({"cells": vec![cell; parallel]});
    set(&pump, "/pack/groups", json!(vec![group; series]))
}

/// The plan with `count` leads like its last.
fn with_leads(plan: &Value, count: usize) -> Value {
    let lead = plan["runs"][0].clone();
    set(plan, "/runs", json!(vec![lead; count]))
}

/// Plans of many shapes, each with a name for the message.
fn shapes() -> Vec<(String, Value)> {
    let (pump, blower, lamp) = (json(PUMP), json(BLOWER), json(LAMP));
    let mut all = vec![("pump".into(), pump.clone()), ("blower".into(), blower.clone()), ("lamp".into(), lamp.clone())];
    for (series, parallel) in [(1, 1), (1, 9), (2, 3), (3, 4), (5, 5)] {
        all.push((format!("{series}S{parallel}P"), of_size(series, parallel)));
    }
    for leads in 0..6 {
        all.push((format!("blower with {leads} leads"), with_leads(&blower, leads)));
        all.push((format!("pump with {leads} leads"), with_leads(&pump, leads)));
    }
    let two = json!({"two_resistor": {"ra_ohm": 4750.0, "rb_ohm": 91000.0, "c_f": 4.7e-8}});
    all.push(("two resistors".into(), with_circuit(two)));
    let ramp = json!({"threshold_ramp": {"control_ratio": 0.5, "ramp": {"triangle":
        {"integrator_ohm": 47000.0, "hysteresis_ohm": 10000.0, "feedback_ohm": 22000.0, "c_f": 1e-9}}}});
    all.push(("triangle".into(), with_circuit(ramp)));
    let mut own = json(BLOWER);
    own["control"]["switch"] = Value::Null;
    own["control"]["capacitor"] = Value::Null;
    all.push(("no transistor".into(), own.clone()));
    own["control"]["switch"] = json!({"transistor": "tip120", "gate_ohm": 470.0, "pull_down_ohm": null, "sink_k_per_w": 8.0,
        "flyback": "silicon"});
    all.push(("bipolar transistor".into(), own));
    let mut full = json(BLOWER);
    full["control"]["timer"]["control_capacitor_f"] = json!(1e-8);
    full["control"]["timer"]["circuit"]["diode_steered"]["shared_ohm"] = json!(4750.0);
    full["loads"].as_array_mut().unwrap().push(lamp["loads"][1].clone());
    all.push(("every part".into(), full));
    let mut unknown = pump.clone();
    for cell in 0..2 {
        unknown["pack"]["groups"][1]["cells"][cell]["chemistry"] = json!("unidentified");
    }
    all.push(("unidentified cells".into(), unknown));
    all.push(("no board".into(), set(&pump, "/protection", json!("none"))));
    all.push(("no fuse".into(), set(&pump, "/fuse", json!("none"))));
    all.push(("no charger".into(), set(&pump, "/charging", Value::Null)));
    all.push(("hot charger".into(), set(&pump, "/charging/supply_v", json!(19.0))));
    all.push((
        "strip lead".into(),
        set(
            &pump,
            "/runs/1/conductor",
            json!({"strip":
        {"width_m": 0.008, "thickness_m": 0.00015, "layers": 2}}),
        ),
    ));
    for (place, name) in HOSTILE.into_iter().enumerate() {
        all.push((format!("hostile name {place}"), named(&blower, name)));
        all.push((format!("hostile name {place} on the lamp"), named(&lamp, name)));
    }
    all
}

/// Each shape with its diagram, worked out once for all tests.
fn drawn() -> &'static [(String, Plan, Diagram)] {
    static DRAWN: OnceLock<Vec<(String, Plan, Diagram)>> = OnceLock::new();
    DRAWN.get_or_init(|| {
        let draw = |(name, value): (String, Value)| {
            let plan = plan(&value);
            let diagram = Diagram::of(&plan).unwrap();
            (name, plan, diagram)
        };
        shapes().into_iter().map(draw).collect()
    })
}

/// Left, top, right and bottom.
type Area = [f64; 4];

fn text_areas(drawing: &Drawing) -> Vec<(Area, String)> {
    let area = |shape: &Shape| {
        let Shape::Text { x, y, text, size, anchor, ink } = shape else { return None };
        let bold = if matches!(ink, Ink::Solid | Ink::Mark | Ink::Alarm) { 1.1 } else { 1.0 };
        let width = text_width(text, *size) * bold;
        let left = match anchor {
            Anchor::Left => *x,
            Anchor::Middle => x - 0.5 * width,
            Anchor::Right => x - width,
        };
        // Capitals and digits are 0.73 of the size high, tails reach 0.21 below the line in common type.
        Some(([left, y - 0.73 * size, left + width, y + 0.21 * size], text.clone()))
    };
    drawing.shapes.iter().filter_map(area).filter(|(_, text)| !text.is_empty()).collect()
}

fn overlap(a: Area, b: Area) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Every straight piece of wire or symbol as a thin area; grid and hatching may pass under words.
fn strokes(drawing: &Drawing) -> Vec<Area> {
    let mut all = Vec::new();
    for shape in &drawing.shapes {
        if let Shape::Circle { x, y, radius, .. } = shape {
            // The square inside the circle: its corners are free for words.
            let half = radius * 0.8;
            all.push([x - half, y - half, x + half, y + half]);
        }
        if let Shape::Path { points, ink, .. } = shape
            && !matches!(ink, Ink::Grid | Ink::Hatch)
        {
            for pair in points.windows(2) {
                let ([x0, y0], [x1, y1]) = (pair[0], pair[1]);
                // A slanted stroke is looked at in short pieces.
                let pieces = if x0 == x1 || y0 == y1 { 1 } else { 12 };
                for i in 0..pieces {
                    let at = |share: f64| [x0 + (x1 - x0) * share, y0 + (y1 - y0) * share];
                    let (from, to) = (at(f64::from(i) / f64::from(pieces)), at(f64::from(i + 1) / f64::from(pieces)));
                    all.push([from[0].min(to[0]), from[1].min(to[1]), from[0].max(to[0]), from[1].max(to[1])]);
                }
            }
        }
    }
    all
}

/// Words that overlap each other, a wire, or the edge.
fn clashes(drawing: &Drawing) -> Vec<String> {
    let areas = text_areas(drawing);
    let mut found = Vec::new();
    for (i, (area, text)) in areas.iter().enumerate() {
        if area[0] < 0.0 || area[1] < 0.0 || area[2] > drawing.width || area[3] > drawing.height {
            found.push(format!("“{text}” leaves the drawing: {area:?}"));
        }
        for (other, words) in &areas[..i] {
            if overlap(*area, *other) {
                found.push(format!("“{text}” over “{words}”"));
            }
        }
        // The letter on a symbol and the number in a test point lie on them.
        let on_symbol = |shape: &Shape| matches!(shape, Shape::Text { text: here, ink: Ink::Symbol | Ink::Mark, .. } if here == text);
        if !drawing.shapes.iter().any(on_symbol) && strokes(drawing).iter().any(|stroke| overlap(*area, *stroke)) {
            found.push(format!("a line through “{text}”"));
        }
    }
    found
}

#[test]
fn words_keep_clear_of_each_other_and_of_lines() {
    for (name, plan, diagram) in drawn() {
        let tags = Tags::of(plan).unwrap();
        for (what, drawing) in
            [("narrow", &diagram.drawing), ("paper", &diagram.paper), ("pack", &tags.pack), ("jack", &tags.jack)]
        {
            assert_eq!(clashes(drawing), Vec::<String>::new(), "{name}, {what}");
        }
        let charts = Charts::of(plan).unwrap();
        for chart in [Some(charts.run), Some(charts.groups), charts.settings].into_iter().flatten() {
            let words_over_words = clashes(&chart.drawing).into_iter().filter(|clash| !clash.starts_with("a line"));
            assert_eq!(words_over_words.collect::<Vec<_>>(), Vec::<String>::new(), "{name}, {}", chart.drawing.title);
        }
    }
}

/// The German words of the page, by their codes.
fn german() -> Tongue {
    let all = include_str!("../www/de.js").split_once("export const SAID = {").unwrap().1;
    let rows = all.split_once("\n};").unwrap().0.lines().filter_map(|line| line.trim().split_once(": \""));
    let words: Vec<[String; 2]> = rows.map(|(code, rest)| [code.into(), rest.trim_end_matches("\",").into()]).collect();
    assert!(words.iter().any(|[code, _]| code == "tag_not_ready"));
    Tongue { words, decimal: Decimal::Comma }
}

#[test]
fn german_words_keep_as_clear_as_english_ones() {
    let tongue = german();
    let english = |sheet, plan: &Plan| DrawnQuestion { plan: plan.clone(), sheet, tongue: Tongue::ENGLISH };
    for (name, plan, diagram) in drawn() {
        let asked = |sheet| DrawnQuestion { plan: plan.clone(), sheet, tongue: tongue.clone() }.answer().unwrap();
        assert_eq!(*english(DrawnSheet::Diagram, plan).answer().unwrap().diagram.unwrap(), *diagram, "{name}");
        let (diagram, tags) = (asked(DrawnSheet::Diagram).diagram.unwrap(), asked(DrawnSheet::Tags).tags.unwrap());
        for (what, drawing) in
            [("narrow", &diagram.drawing), ("paper", &diagram.paper), ("pack", &tags.pack), ("jack", &tags.jack)]
        {
            assert_eq!(clashes(drawing), Vec::<String>::new(), "{name}, {what}");
        }
        assert_eq!(
            tags.ready,
            tags.pack_words[0] != "NICHT FERTIG: der Plan verletzt Halt-Regeln oder lässt sie offen. Nicht benutzen."
        );
        let charts = asked(DrawnSheet::Charts).charts.unwrap();
        for chart in [Some(charts.run), Some(charts.groups), charts.settings].into_iter().flatten() {
            let words_over_words = clashes(&chart.drawing).into_iter().filter(|clash| !clash.starts_with("a line"));
            assert_eq!(words_over_words.collect::<Vec<_>>(), Vec::<String>::new(), "{name}, {}", chart.drawing.title);
        }
    }
}

/// A warning is never cut short on a tag, whatever its words.
#[test]
fn a_tag_holds_every_word_of_its_lines() {
    for (name, plan, _) in drawn().iter().filter(|(name, ..)| !name.starts_with("hostile")) {
        let tags = DrawnQuestion { plan: plan.clone(), sheet: DrawnSheet::Tags, tongue: german() }
            .answer()
            .unwrap()
            .tags
            .unwrap();
        for (drawing, words) in [(&tags.pack, &tags.pack_words), (&tags.jack, &tags.jack_words)] {
            let drawn: Vec<String> =
                text_areas(drawing).into_iter().map(|(_, text)| text.replace('\u{a0}', " ")).collect();
            let drawn = drawn.join(" ");
            for line in words {
                assert!(drawn.contains(line.as_str()) || line.ends_with("..."), "{name}: “{line}” in “{drawn}”");
            }
        }
    }
}

#[test]
fn the_check_for_clashes_finds_planted_ones() {
    let text =
        |x: f64, y: f64| Shape::Text { x, y, text: "R1 4K7".into(), size: 10.0, anchor: Anchor::Left, ink: Ink::Text };
    let drawing =
        |shapes| Drawing { title: String::new(), width: 100.0, height: 50.0, unit_m: 1e-3, line: 1.0, shapes };
    assert!(clashes(&drawing(vec![text(10.0, 20.0), text(10.0, 40.0)])).is_empty());
    assert_eq!(clashes(&drawing(vec![text(10.0, 20.0), text(30.0, 25.0)])).len(), 1);
    assert_eq!(clashes(&drawing(vec![text(90.0, 20.0)])).len(), 1);
    let line = Shape::Path { points: vec![[0.0, 17.0], [99.0, 17.0]], closed: false, ink: Ink::Plus };
    assert_eq!(clashes(&drawing(vec![text(10.0, 20.0), line])).len(), 1);
}

#[test]
fn drawings_fit_a_sheet_of_a4() {
    let charts = Charts::of(&plan(&json(BLOWER))).unwrap();
    let charts = [charts.run.drawing, charts.groups.drawing, charts.settings.unwrap().drawing];
    let charts = charts.iter().map(|chart| ("chart", chart));
    for (name, drawing) in drawn().iter().map(|(name, _, diagram)| (name.as_str(), &diagram.paper)).chain(charts) {
        {
            let (wide, high) = (drawing.width * drawing.unit_m, drawing.height * drawing.unit_m);
            // A4 is 210 mm by 297 mm; 10 mm are left free around.
            assert!(wide.min(high) <= 0.1901 && wide.max(high) <= 0.2771, "{name}: {wide} by {high}");
            // Type of 10 units is no smaller than 6 points, the least that is read at arm's length (common practice).
            assert!(drawing.unit_m * 10.0 >= 6.0 * 0.3528e-3, "{name}: {} mm a unit", drawing.unit_m * 1e3);
        }
    }
}

/// Reads a file as XML: known elements, quoted attributes, closed in order, no stray mark. Gives what stands as text.
fn read_svg(file: &str) -> Vec<String> {
    let body = file.strip_prefix("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n").unwrap();
    let (mut open, mut texts) = (Vec::new(), Vec::new());
    let mut rest = body;
    while let Some((before, after)) = rest.split_once('<') {
        if !before.trim().is_empty() {
            assert!(matches!(open.last(), Some(&"title" | &"text")), "text outside of text: {before}");
            texts.push(unescaped(before));
        }
        let (tag, later) = after.split_once('>').unwrap();
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else {
            let name = tag.split([' ', '/']).next().unwrap();
            assert!(["svg", "title", "rect", "polygon", "polyline", "circle", "text"].contains(&name), "{name}");
            assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
            for attribute in tag.split_whitespace().filter(|word| word.contains('=')) {
                assert!(!attribute.to_lowercase().starts_with("on"), "{attribute}");
            }
            if !tag.ends_with('/') {
                open.push(name);
            }
        }
        rest = later;
    }
    assert!(open.is_empty() && rest.trim().is_empty());
    texts
}

fn unescaped(text: &str) -> String {
    assert!(!text.contains(['>', '"', '\'']), "{text}");
    let mut out = text.to_owned();
    for (mark, sign) in [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "\u{1}")] {
        out = out.replace(mark, sign);
    }
    assert!(!out.contains('&'), "{text}");
    out.replace('\u{1}', "&")
}

#[test]
fn hostile_names_stay_text() {
    for name in HOSTILE {
        for base in [PUMP, BLOWER, LAMP] {
            let files = SvgFiles::of(&plan(&named(&json(base), name))).unwrap();
            let all = [
                &files.diagram,
                &files.diagram_a4,
                &files.pack_tag,
                &files.jack_tag,
                &files.run_chart,
                &files.group_chart,
            ];
            for file in all.into_iter().chain(&files.settings_chart) {
                for text in read_svg(file) {
                    assert!(text.chars().all(|sign| !sign.is_control() && sign != '\u{202e}'), "{text:?}");
                }
            }
        }
    }
    let title = read_svg(&SvgFiles::of(&plan(&named(&json(PUMP), HOSTILE[0]))).unwrap().diagram).remove(0);
    assert_eq!(title, format!("Wiring diagram: {}", HOSTILE[0]), "nothing is lost from a name on its way through");
}

#[test]
fn the_diagram_has_the_test_points_of_the_bench_list() {
    for (name, plan, diagram) in drawn() {
        assert_eq!(diagram.drawing.width, 360.0, "{name}");
        let known: Vec<usize> = TestPoint::of(plan).into_iter().map(TestPoint::number).collect();
        let shown: Vec<usize> = diagram.points.iter().map(|point| point.number).collect();
        assert!(shown.iter().all(|number| known.contains(number)), "{name}: {shown:?} of {known:?}");
        let circles = |drawing: &Drawing| {
            let number = |shape: &Shape| match shape {
                Shape::Text { text, ink: Ink::Mark, .. } => text.parse::<usize>().ok(),
                _ => None,
            };
            let mut numbers: Vec<usize> = drawing.shapes.iter().filter_map(number).collect();
            numbers.sort_unstable();
            numbers
        };
        assert_eq!(circles(&diagram.drawing), shown, "{name}: each once");
        assert_eq!(circles(&diagram.paper), shown, "{name}, on paper");
        if ["pump", "blower", "every part"].contains(&name.as_str()) {
            assert_eq!(shown, known, "{name}: a complete plan shows all");
        }
    }
}

#[test]
fn the_fuse_comes_first_and_the_jack_goes_to_the_board() {
    for (name, plan, diagram) in drawn() {
        let links = &diagram.connections;
        let from_plus: Vec<_> = links
            .iter()
            .filter(|link| link.from.contains("(T2)") || link.to.contains("(T2)"))
            .map(|link| link.to.as_str())
            .collect();
        assert_eq!(from_plus, ["F1"], "{name}: nothing but the fuse hangs at pack plus");
        let board = matches!(plan.protection, Some(Protection::Board(_)));
        for link in links.iter().filter(|link| link.to.starts_with("J1")) {
            assert!(board == link.from.contains("of the board"), "{name}: {link:?}");
        }
        // The current's way is a chain without a gap: from the fuse over the switch to the loads.
        let mut at = "F1".to_owned();
        let mut way = vec![at.clone()];
        while let Some(next) = links.iter().find(|link| {
            let from = link.from.split(" (").next() == at.split(" (").next();
            from && link.wire.starts_with("plus, ") && !link.to.starts_with(['C', 'J']) && !link.to.contains("pin of")
        }) {
            at = next.to.replace("B+ of", "P+ of");
            way.push(at.clone());
            assert!(way.len() < 10, "{name}: {way:?}");
        }
        assert!(way.contains(&"S1".to_owned()), "{name}: the switch is on the way: {way:?}");
        assert!(at.starts_with("plus line of the"), "{name}: the way ends at the loads: {way:?}");
        for i in 0..plan.runs.len() {
            let mark = format!("W{} ", i + 1);
            assert!(links.iter().any(|link| link.wire.contains(&mark)), "{name}: {mark} is nowhere in {links:#?}");
        }
        for load in &plan.loads {
            let ends = links
                .iter()
                .filter(|link| [&link.from, &link.to].iter().any(|end| end.contains(&format!("“{}”", load.name))));
            assert!(ends.count() >= 2, "{name}: both ends of {}", load.name);
        }
    }
    let lithium_unwatched = plan(&set(&json(PUMP), "/protection", json!("none")));
    let links = Diagram::of(&lithium_unwatched).unwrap().connections;
    assert!(links.iter().all(|link| !link.to.starts_with("J1")), "no jack at unwatched lithium groups");
}

#[test]
fn marks_read_back_as_the_plan_has_them() {
    for (name, value) in shapes() {
        let list = PartsList::of(&plan(&value)).unwrap();
        let mut marks: Vec<&str> = list.parts.iter().map(|part| part.mark.as_str()).collect();
        marks.sort_unstable();
        let count = marks.len();
        marks.dedup();
        assert_eq!(marks.len(), count, "{name}: every mark once");
        for part in &list.parts {
            assert!(!part.words.is_empty() && !part.why.is_empty() && part.count > 0, "{name}: {part:?}");
            let resistor = matches!(part.kind, PartKind::Resistor | PartKind::Potentiometer);
            let Some(letters) = part.printed.first().filter(|_| part.unit == "ohm" || part.unit == "f") else {
                continue;
            };
            let mark = if resistor {
                Marking::ResistorLetters(letters.clone())
            } else {
                Marking::CapacitorLetters(letters.clone())
            };
            let answer = mark.answer().unwrap();
            assert_eq!(answer.ohm.or(answer.f), part.value, "{name}: {letters}");
            if !part.colours.is_empty() {
                assert_eq!(Marking::Colours(part.colours.clone()).answer().unwrap().ohm, part.value, "{name}");
            }
        }
    }
}

#[test]
fn needs_rest_on_the_worse_end() {
    let need = |value: &Value, mark: &str, code: &str| {
        let list = PartsList::of(&plan(value)).unwrap();
        let part = list.marked(mark).unwrap_or_else(|| panic!("{mark}"));
        let need = part.needs.iter().find(|need| need.code == code).unwrap_or_else(|| panic!("{mark} {code}"));
        need.at_least.or(need.at_most).unwrap_or_else(|| panic!("{mark} {code}: {}", need.words))
    };
    let pump = json(PUMP);
    let ohms = "/pack/groups/0/cells/0/resistance/resistance_ohm/low";
    assert!(need(&set(&pump, ohms, json!(0.03)), "F1", "breaking_a") > need(&pump, "F1", "breaking_a"));
    let watts = "/loads/0/draw/follows_voltage/power_w/high";
    assert!(need(&set(&pump, watts, json!(24.0)), "W1", "current_a") > need(&pump, "W1", "current_a"));
    assert!(need(&pump, "S1", "current_a") >= 6.0, "the surge of the pump");
    // With a knob the lasting current is the one of full duty, wherever the plan's knob stands.
    let blower = json(BLOWER);
    let slow = set(&blower, "/control/wiper_ratio", json!(0.05));
    assert!((need(&slow, "W1", "current_a") / need(&blower, "W1", "current_a") - 1.0).abs() < 0.02);
    // The rest of a volt under the empty pack is what the timer's output keeps back.
    assert!(need(&blower, "Q1", "on_gate_v") < 4.0 * 2.6);
    let silent = set(&blower, "/loads/0/surge_a", Value::Null);
    let board = PartsList::of(&plan(&silent)).unwrap();
    let trip = board.marked("PB1").unwrap().needs.iter().find(|need| need.code == "trip_a").unwrap();
    assert!(trip.at_least.is_none() && trip.words.contains("not judged"), "{trip:?}");
}

#[test]
fn a_tag_names_a_charger_only_where_it_may_be_used() {
    let says = |value: &Value| Tags::of(&plan(value)).unwrap().pack_words.join("\n");
    let pump = json(PUMP);
    assert!(says(&pump).contains("ONLY charger: 12.6 V DC, 800 mA"), "{}", says(&pump));
    for (pointer, value, reason) in [
        ("/pack/groups/0/cells/0/chemistry", json!("unidentified"), "no charge voltage is known"),
        ("/charging/supply_v", json!(19.0), "voltage is too high"),
        ("/charging/supply_a", json!(9.0), "current is too high"),
        ("/charging/kind", json!("voltage_supply"), "not a charger"),
        ("/charging/kind", json!("unknown"), "nobody knows"),
        ("/charging/terminals", Value::Null, "through the board"),
        ("/charging/terminals", json!("cells"), "through the board"),
        ("/charging/polarity_checked", json!(false), "stop rule"),
        ("/charging/polarity_checked", Value::Null, "stop rule"),
        ("/protection", json!("none"), "no board"),
        ("/protection", Value::Null, "no board"),
        ("/charging", Value::Null, "no charger"),
    ] {
        let words = says(&set(&pump, pointer, value));
        assert!(
            words.contains("NO CHARGING") && words.contains(reason) && !words.contains("ONLY"),
            "{pointer}: {words}"
        );
    }
    for words in [says(&pump), says(&json(LAMP)), says(&json(BLOWER))] {
        assert!(
            words.contains("not type-tested") && words.contains("Next check") && words.contains("from 0 °C"),
            "{words}"
        );
    }
    let tags = Tags::of(&plan(&json(LAMP))).unwrap();
    assert!(!tags.ready && tags.pack_words[0].starts_with("NOT READY"), "a plan that is not ready says so first");
    // 43.4 Wh at the high end must not be printed as less.
    let report = plan(&pump).report().unwrap();
    assert!(says(&pump).contains(&format!("up to {} Wh", report.pack.energy_wh.high.ceil())));
    assert!((tags.pack.unit_m - 1e-3).abs() < 1e-15, "one unit is one millimetre");
}

#[test]
fn steps_come_in_the_order_that_keeps_hands_whole() {
    let codes = |value: &Value| -> Vec<&'static str> {
        BuildSteps::of(&plan(value)).unwrap().steps.iter().map(|step| step.code).collect()
    };
    let pump = codes(&json(PUMP));
    let place =
        |code: &str| pump.iter().position(|there| *there == code).unwrap_or_else(|| panic!("{code} in {pump:?}"));
    let order = [
        "no_metal",
        "inspect",
        "ring",
        "low_charge",
        "tie_groups",
        "series",
        "one_bare",
        "sense_leads",
        "tap_order",
        "board_order",
        "bench",
        "first_charge",
    ];
    assert!(order.windows(2).all(|pair| place(pair[0]) < place(pair[1])), "{pump:?}");
    assert!(!pump.contains(&"no_board") && !pump.contains(&"plan_not_ready"));
    let bare = codes(&set(&json(PUMP), "/protection", json!("none")));
    assert!(bare.contains(&"no_board") && !bare.contains(&"sense_leads") && bare[0] == "plan_not_ready", "{bare:?}");
    let single = codes(&of_size(1, 1));
    assert!(!single.contains(&"tie_groups") && !single.contains(&"series"), "{single:?}");
    let high = set(&json(PUMP), "/pack/groups/0/cells/0/rest_v", json!(3.9));
    let steps = BuildSteps::of(&plan(&high)).unwrap().steps;
    let low = steps.iter().find(|step| step.code == "low_charge").unwrap();
    assert!(low.words.contains("3.9 V: discharge it first"), "{}", low.words);
    for (i, step) in steps.iter().enumerate() {
        assert!(step.number == i + 1 && !step.source.title.is_empty());
    }
}

#[test]
fn charts_and_tables_hold_the_same_numbers() {
    let plan = plan(&json(BLOWER));
    let (report, charts) = (plan.report().unwrap(), Charts::of(&plan).unwrap());
    let column = |table: &[cellwright::sheet::charts::ChartColumn], code: &str| -> Vec<f64> {
        table.iter().find(|column| column.code == code).unwrap().values.iter().copied().flatten().collect()
    };
    let time = column(&charts.run.table, "time_s");
    assert!(time.windows(2).all(|pair| pair[0] < pair[1]) && time.len() > 5, "{time:?}");
    let last = report.runtime.likely.series.time_s.last().copied();
    assert_eq!(time.last().copied(), last);
    let unused = column(&charts.groups.table, "unused_ah");
    assert_eq!(unused.iter().copied().fold(f64::MAX, f64::min), 0.0, "the weakest group leaves nothing");
    let settings = charts.settings.unwrap();
    let runtime = column(&settings.table, "runtime_s");
    let rows = &report.settings.as_ref().unwrap().rows;
    let told: Vec<f64> = rows.iter().filter_map(|row| Some(row.setting.as_ref()?.runtime_s?.likely)).collect();
    assert_eq!(runtime, told);
    assert!(Charts::of(&self::plan(&json(PUMP))).unwrap().settings.is_none(), "no knob, no chart of it");
}

#[test]
fn a_plan_that_stops_says_so_on_every_sheet() {
    let value = set(&json(PUMP), "/fuse", json!("none"));
    let plan = plan(&value);
    assert!(matches!(plan.fuse, Some(FuseChoice::None)));
    let alarm =
        |drawing: &Drawing| drawing.shapes.iter().any(|shape| matches!(shape, Shape::Text { ink: Ink::Alarm, .. }));
    let (diagram, tags) = (Diagram::of(&plan).unwrap(), Tags::of(&plan).unwrap());
    assert!(alarm(&diagram.drawing) && alarm(&diagram.paper) && alarm(&tags.pack) && alarm(&tags.jack));
    assert!(PartsList::of(&plan).unwrap().verdict_words.starts_with("Stop"));
    assert!(BuildSteps::of(&plan).unwrap().verdict_words.starts_with("Stop"));
}

#[test]
fn questions_answer_by_name() {
    for question in ["parts_list", "diagram", "diagram_svg", "tag", "build_steps", "charts"] {
        assert!(ask(question, PUMP).is_ok(), "{question}");
        let errors = ask(question, &set(&json(PUMP), "/format", json!(2)).to_string()).unwrap_err();
        assert!(errors[0].to_string().contains("later version"), "{question}: {}", errors[0]);
    }
}

/// A number of the sequence between two, evenly over its logarithm.
fn between(draws: &Draws, index: u32, place: usize, low: f64, high: f64) -> f64 {
    low * libm::pow(high / low, draws.unit(index, place))
}

#[test]
fn a_plan_with_nothing_to_mend_keeps_every_need_that_its_parts_cite() {
    let draws = Draws::new(7, 8);
    let (mut ready, mut stopped) = (0, 0);
    for index in 0..120 {
        let base = json(if index % 2 == 0 { PUMP } else { BLOWER });
        let mut value = base.clone();
        for (place, pointer) in [
            "/fuse/fitted/rating_a",
            "/runs/0/conductor/mm2/area_mm2",
            "/runs/1/conductor/mm2/area_mm2",
            "/charging/supply_a",
            "/protection/board/continuous_a",
            "/fuse/fitted/breaking_a",
        ]
        .into_iter()
        .enumerate()
        {
            // Half of the numbers stay as the demo has them.
            let factor = between(&draws, index, place, 0.4, 2.5);
            let factor = if draws.unit(index, place) < 0.25 || draws.unit(index, place) > 0.75 { factor } else { 1.0 };
            let old = base.pointer(pointer).unwrap().as_f64().unwrap();
            value = set(&value, pointer, json!(old * factor));
        }
        let plan = plan(&value);
        let report = plan.report().unwrap();
        let about =
            |subject: &str| ["/fuse", "/runs", "/protection", "/charging"].iter().any(|part| subject.starts_with(part));
        let mend =
            report.findings.iter().any(|finding| finding.urgency == Urgency::MendFirst && about(&finding.subject));
        if report.verdict != Verdict::Ready || mend {
            stopped += 1;
            continue;
        }
        ready += 1;
        let list = PartsList::of(&plan).unwrap();
        let keeps = |mark: &str, code: &str, has: Option<f64>| {
            let has = has.unwrap_or_else(|| panic!("{mark}: {code} is not stated in such a plan"));
            for need in list.marked(mark).unwrap().needs.iter().filter(|need| need.code == code) {
                let kept = need.at_least.is_none_or(|least| has >= least - 1e-9)
                    && need.at_most.is_none_or(|most| has <= most + 0.005);
                assert!(kept, "draw {index}: {mark} has {has}, needs {}", need.words);
            }
        };
        let fuse = plan.fuse.as_ref().and_then(FuseChoice::fitted).unwrap();
        let board = plan.protection.as_ref().and_then(Protection::board).unwrap();
        let charging = plan.charging.as_ref().unwrap();
        keeps("F1", "rating_a", Some(fuse.rating_a));
        keeps("F1", "breaking_a", fuse.breaking_a);
        keeps("PB1", "continuous_a", board.continuous_a);
        keeps("PB1", "over_voltage_v", board.over_voltage_v);
        keeps("PB1", "cut_off_v", board.cut_off_v);
        keeps("XC", "voltage_v", Some(charging.supply_v));
        keeps("XC", "current_a", Some(charging.supply_a));
        for (i, run) in report.runs.iter().enumerate() {
            let limit = run.lead.as_ref().and_then(|lead| lead.limit.as_ref()).map(|limit| limit.current_a);
            keeps(&format!("W{}", i + 1), "current_a", limit);
        }
    }
    assert!(ready >= 10 && stopped >= 10, "{ready} with nothing to mend, {stopped} with something");
}
