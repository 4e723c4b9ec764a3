//! What findings are about, where the maker has no name of his own for it.

use crate::quantity::said::{Phrase, Said, Wording, wordings};

/// One group, by its number from the negative end.
pub(crate) const GROUP: Wording = NAMED_GROUP;

wordings! {
    BUILD: "name_build", "this build";
    PACK: "name_pack", "the pack";
    NAMED_GROUP: "name_group", "group {0}";
    TIMER: "name_timer", "the timer";
    SWITCH: "name_switch", "the switch";
    FUSE: "name_fuse", "the fuse";
    BOARD: "name_board", "the board";
    CHARGER: "name_charger", "the charger";
    LEADS: "name_leads", "the leads";
    CHARGING: "name_charging", "charging";
    LOAD: "name_load", "the load";
}

/// A name by code: one that came as a sentence, or one of the crate's own, by whatever way it came.
pub(super) fn coded(name: &Phrase) -> Option<Said> {
    let own = || WORDINGS.iter().find(|wording| wording.words == name.words).map(|wording| wording.plain().said);
    name.coded().or_else(own)
}
