//! Findings as they are gathered about one thing.

use super::{Finding, Rule, Subject};
use alloc::format;
use alloc::vec::Vec;

/// Findings as they are gathered.
pub(crate) struct Gathered {
    about: Subject,
    pub(crate) findings: Vec<Finding>,
}

impl Gathered {
    /// An empty list about the thing called `name` at the JSON Pointer `at`.
    pub(crate) fn new(at: &str, name: &str) -> Self {
        Self::about(&Subject::new(at, name))
    }

    /// An empty list about a subject.
    pub(crate) fn about(subject: &Subject) -> Self {
        Self { about: subject.clone(), findings: Vec::new() }
    }

    /// The subject itself, or one of its fields.
    fn subject(&self, field: &str) -> Subject {
        let about = self.about.clone();
        if field.is_empty() { about } else { Subject { path: format!("{}/{field}", about.path), ..about } }
    }

    /// The rule is broken by the field `field`, or by the thing itself where that is empty.
    pub(crate) fn broken(&mut self, rule: &Rule, field: &str, measured: Option<f64>, limit: Option<f64>) {
        self.findings.push(rule.broken(&self.subject(field), measured, limit));
    }

    /// As [`Gathered::broken`], about a thing with a name of its own.
    pub(crate) fn named(&mut self, rule: &Rule, field: &str, name: &str, measured: f64, limit: f64) {
        let subject = Subject::new(self.subject(field).path, name);
        self.findings.push(rule.broken(&subject, Some(measured), Some(limit)));
    }

    pub(crate) fn not_judged(&mut self, rule: &Rule, needs: &str) {
        self.findings.push(rule.not_judged(&self.subject(""), needs));
    }

    pub(crate) fn above(&mut self, rule: &Rule, field: &str, measured: f64, limit: f64) {
        if measured > limit {
            self.broken(rule, field, Some(measured), Some(limit));
        }
    }

    pub(crate) fn below(&mut self, rule: &Rule, field: &str, measured: f64, limit: f64) {
        if measured < limit {
            self.broken(rule, field, Some(measured), Some(limit));
        }
    }

    /// Of bands from the lowest on, the first under whose limit the value lies.
    pub(crate) fn lowest_band(&mut self, bands: &[(&Rule, f64)], field: &str, measured: f64) {
        if let Some((rule, limit)) = bands.iter().find(|(_, limit)| measured < *limit) {
            self.broken(rule, field, Some(measured), Some(*limit));
        }
    }

    /// The rule is broken where the answer to a question is not `wanted`; without an answer it is not judged.
    pub(crate) fn unless(&mut self, rule: &Rule, field: &str, answer: Option<bool>, wanted: bool) {
        match answer {
            None => self.not_judged(rule, field),
            Some(given) if given != wanted => self.broken(rule, field, None, None),
            Some(_) => {}
        }
    }
}
