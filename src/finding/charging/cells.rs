//! Whether the cells may be charged at all, and with how much.

use super::facts::ChargingFacts;
use super::rules;
use crate::data::charger::{LEAD_ACID, NICKEL};
use crate::data::screening::{LEAD_EMPTY_V, LEAD_GIVE_UP_V, NICKEL_DEAD_V, NICKEL_FLAT_V};
use crate::data::transport::HYDROGEN;
use crate::finding::gathered::Gathered;
use crate::finding::screening::rules as screening;
use crate::finding::{Rule, Urgency};
use crate::part::charger::{CellFamily, ChargerKind, ChargerNeed};
use crate::quantity::Interval;
use alloc::format;

pub(super) fn judge(facts: &ChargingFacts, need: Option<&ChargerNeed>, list: &mut Gathered) {
    if facts.family == CellFamily::Unidentified {
        list.broken(&rules::UNIDENTIFIED, "family", None, None);
        return;
    }
    found(facts, list);
    temperature(facts, list);
    current(facts, list);
    if let (Some(true), Some(printed_v), Some(limits)) =
        (need.map(|need| need.print_asks_more), facts.printed_limit_v, facts.family.lithium())
    {
        list.broken(&rules::PRINT_ASKS_MORE, "printed_limit_v", Some(printed_v), Some(limits.charge_v));
    }
    if facts.family == CellFamily::LeadAcid {
        lead_acid(facts, need, list);
    }
}

/// Voltages at which the cells were found.
fn found(facts: &ChargingFacts, list: &mut Gathered) {
    let Some(limits) = facts.family.lithium() else { return other_found(facts, list) };
    let until_v = facts.family.pre_charge_until_v();
    for (i, group) in facts.groups.iter().enumerate() {
        let field = format!("groups/{i}/found_v");
        match group.found_v {
            None => list.not_judged(&rules::GIVEN_UP, &field),
            Some(found_v) if found_v < limits.give_up_v => {
                list.broken(&rules::GIVEN_UP, &field, Some(found_v), Some(limits.give_up_v));
            }
            Some(found_v) if found_v < until_v => {
                list.broken(&rules::FOUND_LOW, &field, Some(found_v), Some(until_v));
            }
            Some(_) => {}
        }
    }
}

/// The same of lead-acid and nickel cells, as screening tells it.
fn other_found(facts: &ChargingFacts, list: &mut Gathered) {
    // What its capacity is worth is screening's matter: here it is told how it is charged.
    let told = |rule: Rule| Rule { urgency: Urgency::Know, ..rule };
    let bands = match facts.family {
        CellFamily::LeadAcid => {
            [(screening::LEAD_GIVEN_UP, LEAD_GIVE_UP_V), (told(screening::LEAD_TOO_EMPTY), LEAD_EMPTY_V)]
        }
        CellFamily::NickelMetalHydride => {
            [(told(screening::NICKEL_DEAD), NICKEL_DEAD_V), (screening::FOUND_FLAT, NICKEL_FLAT_V)]
        }
        _ => return,
    };
    for (i, group) in facts.groups.iter().enumerate() {
        let Some(found_v) = group.found_v else { continue };
        list.lowest_band(&bands.each_ref().map(|(rule, v)| (rule, *v)), &format!("groups/{i}/found_v"), found_v);
    }
}

fn temperature(facts: &ChargingFacts, list: &mut Gathered) {
    let (cold, hot) = match facts.family {
        CellFamily::LeadAcid => {
            (Rule { source: LEAD_ACID.source, ..rules::COLD_OTHER }, Rule { source: LEAD_ACID.source, ..rules::HOT })
        }
        CellFamily::NickelMetalHydride => {
            (Rule { source: NICKEL.source, ..rules::COLD_OTHER }, Rule { source: NICKEL.source, ..rules::HOT })
        }
        _ => (rules::COLD, rules::HOT),
    };
    let Some(cell_degc) = facts.cell_degc else {
        list.not_judged(&cold, "cell_degc");
        list.not_judged(&hot, "cell_degc");
        return;
    };
    let Some(window) = facts.wish_at(cell_degc).window_degc() else { return };
    if cell_degc.low < window.low {
        list.broken(&cold, "cell_degc", Some(cell_degc.low), Some(window.low));
    }
    list.above(&hot, "cell_degc", cell_degc.high, window.high);
}

/// The charger's current against cells, jack and wire.
fn current(facts: &ChargingFacts, list: &mut Gathered) {
    let Some((charger, current_a)) = facts.charger.as_ref().and_then(|charger| Some((charger, charger.current_a?)))
    else {
        list.not_judged(&rules::CURRENT_HIGH, "charger/current_a");
        return;
    };
    for (rule, field, limit) in
        [(&rules::JACK, "connector_a", facts.connector_a), (&rules::WIRE, "wire_a", facts.wire_a)]
    {
        match limit {
            None => list.not_judged(rule, field),
            Some(limit_a) => list.above(rule, field, current_a.high, limit_a),
        }
    }
    let Some(cells_a) = facts.cells_a(charger.kind) else {
        list.not_judged(&rules::CURRENT_HIGH, "cell_degc at which the cells may be charged");
        return;
    };
    if current_a.high > 2.0 * cells_a {
        list.broken(&rules::CURRENT_FAR, "charger/current_a", Some(current_a.high), Some(cells_a));
    } else {
        list.above(&rules::CURRENT_HIGH, "charger/current_a", current_a.high, cells_a);
    }
}

fn lead_acid(facts: &ChargingFacts, need: Option<&ChargerNeed>, list: &mut Gathered) {
    match facts.closed_box {
        None => list.not_judged(&rules::CLOSED_BOX, "closed_box"),
        Some(true) => list.broken(&rules::CLOSED_BOX, "closed_box", None, Some(HYDROGEN.explosion_ratio)),
        Some(false) => {}
    }
    if let (Some(need), Some(Interval { low, high, .. })) = (need, facts.cell_degc) {
        let moves_v = -need.voltage_v_per_k * (high - low);
        // The width of the band for cycle use is about 3 percent.
        let band_v = 0.03 * need.voltage_v.unwrap_or(0.0);
        list.above(&rules::NOT_COMPENSATED, "cell_degc", moves_v, band_v);
    }
}

impl ChargingFacts {
    /// Current that the cells alone stand, in amperes.
    fn cells_a(&self, kind: ChargerKind) -> Option<f64> {
        let alone = Self { connector_a: None, wire_a: None, ..self.clone() };
        let need = alone.need_at(self.cell_degc?)?;
        match need.rapid {
            Some(rapid) if kind == ChargerKind::DropDetecting => Some(rapid.current_a),
            _ => Some(need.current_a),
        }
    }
}
