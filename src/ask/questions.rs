//! The table of questions.

use super::upgrade::current;
use super::{Errors, Question, decode_own, encode};
use crate::data::cell_sheet;
use crate::error::Error;
use crate::finding::{charging, dead_cell, drive, enclosure, protection, screening, sort_bin};
use crate::pack::size;
use crate::part::{
    charger, decoupling, fade, fuse, hour_rate, joint, layout, marking, rc, stage, timing, transport, ventilation, wire,
};
use crate::plan;
use crate::quantity::{parse, text};
use crate::reader;
use crate::run::{fit, knob, pack_charge, pack_run, profile, spread, timer_parts, timer_span, timer_spread};
use crate::sheet::{self, build_steps, charts, diagram, drawn, files, parts, tag};

/// Rows of `name: "about", Input => Answer, solve;`, where `solve` takes `&Input` and gives a `Result` of the answer
/// and one `Error` or a list of them.
macro_rules! questions {
    ($($name:ident: $about:literal, $input:ty => $answer:ty, $solve:expr $(, first $first:expr)?;)*) => {
        &[$(Question {
            name: stringify!($name),
            about: $about,
            solve: |node| {
                $(let node = &*$first(node)?;)?
                let solve: fn(&$input) -> Result<$answer, _> = $solve;
                let answer = solve(&decode_own(node)?).map_err(Errors::from)?;
                Ok(encode(&answer)?)
            },
            #[cfg(feature = "schema")]
            schemas: super::schemas::<$input, $answer>,
        }),*]
    };
}

/// Every question, in the order of a build.
pub const QUESTIONS: &[Question] = questions! {
    plan: "Everything about one build: runtime, findings, timer, leads, charging, and what happens when one thing fails",
        plan::Plan => plan::Report, sheet::whole::whole, first current;
    compare_plans: "Which promises and findings change from one plan to another; can be asked in steps",
        plan::compare::PlanPair => plan::compare::PlanChanges, sheet::whole::changes;
    first_plan: "A first plan from what it shall run, how long, and which cells there are",
        plan::first::FirstWish => plan::first::FirstPlan, plan::first::FirstWish::answer;
    plan_file: "A plan file of any format there was, as a plan of today's; what is out of range is told by plan",
        plan::Plan => plan::Plan, |plan| Ok::<_, Error>(plan.clone()), first current;
    parts_list: "Every part of a plan: what is printed on it, how many, what it must stand; can be asked in steps",
        plan::Plan => parts::PartsList, parts::PartsList::of, first current;
    diagram: "The wiring diagram of a plan as shapes, and the same as a list of connections",
        plan::Plan => diagram::Diagram, diagram::Diagram::of, first current;
    diagram_svg: "Wiring diagram, tags and charts of a plan as complete SVG files",
        plan::Plan => files::SvgFiles, files::SvgFiles::of, first current;
    tag: "Tags for pack and charge jack of a plan, 1:1",
        plan::Plan => tag::Tags, tag::Tags::of, first current;
    drawn: "Diagram, tags, charts or diary of a plan as shapes or SVG files, in the words of another language",
        drawn::DrawnQuestion => drawn::DrawnSheets, drawn::DrawnQuestion::answer;
    build_steps: "The order of joining the pack of a plan, with its hazards",
        plan::Plan => build_steps::BuildSteps, build_steps::BuildSteps::of, first current;
    charts: "Charts of a plan's run, groups and settings, each with its table",
        plan::Plan => charts::Charts, charts::Charts::of, first current;
    setting_curves: "Voltage, current and charge over time at one place of the knob, each with its band",
        charts::CurvesQuestion => charts::SettingCurves, charts::CurvesQuestion::answer;
    wire_run: "What a lead loses at its working temperature, and what it may carry for how it lies",
        wire::RunQuestion => wire::LeadAnswer, wire::RunQuestion::answer;
    wire_size: "The smallest size of a lead that keeps a wanted drop and the limit for how it lies",
        wire::SizeQuestion => wire::SizeAnswer, wire::SizeQuestion::answer;
    discharge: "How long a pack runs its loads, at the likely values and in both worst corners",
        pack_run::PackRun => pack_run::PackRunAnswer, pack_run::PackRun::answer;
    screen_cells: "Which found cells may be used, which are measured again, which are handed in",
        screening::Screening => screening::ScreeningAnswer, screening::Screening::answer;
    sort_bin: "Which test comes next for a bin of found cells, how long it takes, and when to stop",
        crate::run::sort_bin::SortBin => sort_bin::SortBinReview, sort_bin::review;
    discharge_circuit: "A discharge of plain circuits, every value given",
        crate::run::circuit_run::CircuitRun => crate::run::discharge::Discharge,
        crate::run::circuit_run::CircuitRun::answer;
    runtime_spread: "How long nine builds in ten run, and which measurement would narrow it most",
        spread::RuntimeSpread => spread::RuntimeSpreadAnswer, spread::RuntimeSpread::answer;
    use_profile: "How many days of use a pack lasts, how long it may stand, and what follows a cut-off",
        profile::UseProfile => profile::UseProfileAnswer, profile::UseProfile::answer;
    box_heat: "How warm it gets in the box at the hottest and the coldest place, and what passes its limit there",
        crate::run::enclosure::BoxHeat => enclosure::BoxReview, enclosure::review;
    measure_resistance: "Resistance of a cell from two loads, with its doubt",
        crate::part::measure::resistance::TwoLoads => crate::part::measure::resistance::MeasuredResistance,
        crate::part::measure::resistance::TwoLoads::answer;
    measure_pulse: "Resistance of a cell from one pulse, with its doubt",
        crate::part::measure::resistance::PulseReading => crate::part::measure::resistance::MeasuredResistance,
        crate::part::measure::resistance::PulseReading::answer;
    measure_capacity: "Capacity of a cell from the log of a discharge, with its doubt",
        crate::part::measure::capacity::DischargeLog => crate::part::measure::capacity::MeasuredCapacity,
        crate::part::measure::capacity::DischargeLog::answer;
    measure_self_discharge: "Self-discharge from two rest voltages, or what it takes to see it",
        crate::run::self_discharge::RestTest => crate::run::self_discharge::RestTestAnswer,
        crate::run::self_discharge::RestTest::answer;
    match: "Which measured cells share a group, and how much better any arrangement could be",
        crate::pack::group::Matching => crate::finding::matched::MatchReport, crate::finding::matched::matched;
    join: "Whether two packs at unequal voltage may be tied, and what makes it safe",
        crate::run::joining::Joining => crate::run::joining::JoinAnswer, crate::run::joining::Joining::answer;
    dead_cell: "What one dead cell in a group does to it, and whether a link for each cell makes sense",
        crate::run::dead_cell::DeadCell => dead_cell::DeadCellReview, dead_cell::review;
    pack_size: "How many groups in series and cells in parallel a load needs",
        size::PackWish => size::PackSizes, size::PackWish::answer;
    charger: "What charger a pack needs, or why it must not be charged",
        charger::ChargerWish => charger::ChargerAnswer, charger::ChargerWish::answer;
    charge: "How long a charger takes for a pack, and how high each group rises",
        pack_charge::PackCharge => pack_charge::PackChargeAnswer, pack_charge::PackCharge::answer;
    protection: "What a protection board must do for a pack, what a board does, and what stands against it",
        protection::ProtectionWish => protection::ProtectionReview, protection::review;
    charging_review: "What stands against charging a pack like this",
        charging::ChargingFacts => charging::ChargingReview, charging::ChargingFacts::review;
    cell_sheet: "What the data sheet of a known cell says",
        cell_sheet::SheetQuestion => cell_sheet::SheetRow, cell_sheet::SheetQuestion::answer;
    cycle_fade: "What a data sheet's cycle life says of fewer cycles",
        fade::CycleFade => fade::CycleFadeAnswer, fade::CycleFade::answer;
    hour_rate: "How long a lead-acid battery lasts at another current than its rated one",
        hour_rate::HourRate => hour_rate::HourRateAnswer, hour_rate::HourRate::answer;
    ventilation: "How much fresh air a lead-acid battery needs while it is charged",
        ventilation::Ventilation => ventilation::VentilationAnswer, ventilation::Ventilation::answer;
    transport: "How much energy a pack holds, and why a home-built one must not fly",
        transport::Transport => transport::TransportAnswer, transport::Transport::answer;
    layout: "How large and heavy a pack gets",
        layout::PackLayout => layout::PackLayoutAnswer, layout::PackLayout::answer;
    timer: "What a timer does at one supply: frequency, duty and levels",
        timing::TimerQuestion => timing::TimerAnswer, timing::TimerQuestion::answer;
    one_shot: "How long a load runs after one press, and whether it may never stop",
        timing::OneShot => timing::OneShotAnswer, timing::OneShot::answer;
    step_response: "How fast a capacitor behind a resistor follows a step, and which frequencies it lets by",
        rc::StepResponse => rc::StepResponseAnswer, rc::StepResponse::answer;
    timer_span: "What a timer does over battery, temperature and knob",
        timer_span::TimerSpan => timer_span::TimerSpanAnswer, timer_span::TimerSpan::answer;
    timer_parts: "The best parts for a wanted frequency and duty range",
        timer_parts::TimerWish => timer_parts::TimerPartsAnswer, timer_parts::TimerWish::answer;
    timer_tolerance: "How far a timer may lie from what its parts say",
        timer_spread::TimerTolerance => timer_spread::TimerToleranceAnswer, timer_spread::TimerTolerance::answer;
    motor_stage: "Currents and losses of a chopped motor with its flyback diode",
        stage::MotorStage => stage::MotorStageAnswer, stage::MotorStage::answer;
    switch_review: "A switch with its drive, heat, diode and capacitor, and what stands against it",
        drive::SwitchCase => drive::SwitchReview, drive::SwitchCase::review;
    supply_capacitor: "Ripple, heat and rush of a capacitor across a chopped supply",
        decoupling::SupplyCapacitor => decoupling::SupplyCapacitorAnswer, decoupling::SupplyCapacitor::answer;
    frequency_fit: "Whether a frequency is right for a load",
        drive::DriveCase => drive::DriveFindings, drive::DriveCase::review;
    fuse: "Which fuse rating lies between load and wire and opens in every fault, or what must change",
        fuse::FuseWish => fuse::FuseAnswer, fuse::FuseWish::answer;
    joint: "Drop, heat and ratings of a connector, switch contact or holder",
        joint::Joint => joint::JointAnswer, joint::Joint::answer;
    parse: "What an entry such as 4k7 or 2,2 Ah ± 5 % says",
        parse::Entry => parse::EntryReading, parse::Entry::answer;
    format: "A number in words, such as 4.70 kΩ",
        text::Writing => text::Written, text::Writing::answer;
    settings: "What each position of the knob does: duty, current, speed, flow, heat and runtime",
        knob::KnobTable => knob::KnobAnswer, knob::KnobTable::answer;
    fit_load: "What readings at different settings tell of the load, its leads and the timer",
        fit::LoadFit => fit::LoadFitAnswer, fit::LoadFit::answer;
    bench: "Every measurement of the finished build in the order of work, with what the meter should show",
        sheet::BenchQuestion => sheet::BenchList, sheet::BenchQuestion::answer;
    diagnose: "Which fault explains the readings of a build best, and what to measure next",
        sheet::Diagnosis => sheet::DiagnosisAnswer, sheet::Diagnosis::answer;
    one_fails: "What happens when one part opens, shorts or gains 50 mΩ, and what nobody stops",
        sheet::OneFails => sheet::OneFailsAnswer, sheet::OneFails::answer;
    calibrate: "What a timed run or logged voltages change in the plan's cells",
        sheet::Calibration => sheet::CalibrationAnswer, sheet::Calibration::answer;
    diary: "What the diary of a pack tells: drift, next check, when to retire it, how to take it apart",
        sheet::diary::DiaryQuestion => sheet::diary::DiaryAnswer, sheet::diary::DiaryQuestion::answer;
    read_date: "What a typed date says",
        crate::quantity::date::DateEntry => crate::quantity::date::DateReading,
        crate::quantity::date::DateEntry::answer;
    marking: "What the marking on a part stands for",
        marking::Marking => marking::MarkingAnswer, marking::Marking::answer;
    reader_runtime: "How long it runs, in short, from entries as an article states them",
        reader::runtime::ReaderRuntime => reader::ReaderAnswer, reader::runtime::ReaderRuntime::answer;
    reader_cells: "Which cells fit together, in short, from entries as an article states them",
        reader::cells::ReaderCells => reader::ReaderAnswer, reader::cells::ReaderCells::answer;
    reader_knob: "Which parts a knob needs, in short, from entries as an article states them",
        reader::knob::ReaderKnob => reader::ReaderAnswer, reader::knob::ReaderKnob::answer;
    reader_wire: "Whether a wire will do, in short, from entries as an article states them",
        reader::wire::ReaderWire => reader::ReaderAnswer, reader::wire::ReaderWire::answer;
    reader_plan: "A whole plan in short, to be read",
        plan::Plan => reader::ReaderAnswer, reader::plan::in_short, first current;
};
