//! The reading that tells the leading candidates apart best.

use super::rank::{Candidate, Taken, Tell};
use crate::order;

/// A reading to take next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Next {
    /// The probe.
    pub probe: usize,
    /// Bits it is expected to tell.
    pub bits: f64,
    /// Into how many groups it parts the candidates.
    pub groups: usize,
}

/// Readings that tell less are not worth a trip. Own choice.
const LEAST_BITS: f64 = 0.03;
/// The least ratio between readings that tolerances leave apart.
const LEAST_RATIO: f64 = 0.12;

/// The reading, not taken yet, whose outcome is least known: the greatest
/// entropy over the candidates' shares. Of equals the first in the order of
/// going.
pub(super) fn next(tell: &Tell, candidates: &[Candidate], taken: &[Taken]) -> Option<Next> {
    let mut is_taken = vec![false; tell.table.probes.len()];
    for own in taken {
        is_taken[own.probe] = true;
    }
    let mut best: Option<Next> = None;
    for probe in (0..tell.table.probes.len()).filter(|p| !is_taken[*p]) {
        let (bits, groups) = told(tell, candidates, probe);
        if bits > LEAST_BITS && best.is_none_or(|b| bits > b.bits + 1e-9) {
            best = Some(Next { probe, bits, groups });
        }
    }
    best
}

/// Bits that a reading is expected to tell, and the groups it parts into.
fn told(tell: &Tell, candidates: &[Candidate], probe: usize) -> (f64, usize) {
    let (meter, expected) = (&tell.meter, &tell.table.expected[probe]);
    let mut outcomes: Vec<(f64, f64)> = candidates
        .iter()
        .map(|c| {
            let ohms = tell.ohms((c.faults[0], c.variant), probe);
            (expected.range(ohms).0.min(meter.top), c.share)
        })
        .collect();
    order::sort(&mut outcomes, |(ohms, _)| order::rising(*ohms));
    let own = if expected.ohms.is_finite() && expected.ohms > 0.0 {
        expected.spread / expected.ohms
    } else {
        0.0
    };
    let ratio = LEAST_RATIO.max(own);
    let mut shares: Vec<f64> = Vec::new();
    let mut last: Option<f64> = None;
    for (ohms, share) in outcomes {
        let apart = last
            .is_none_or(|last| ohms - last > ratio * last + meter.error(last) + meter.error(ohms));
        if apart {
            shares.push(share);
        } else if let Some(own) = shares.last_mut() {
            *own += share;
        }
        last = Some(ohms);
    }
    let whole: f64 = shares.iter().sum();
    let bits = shares.iter().map(|s| s / whole).filter(|s| *s > 0.0).map(|s| -s * s.log2()).sum();
    (bits, shares.len())
}
