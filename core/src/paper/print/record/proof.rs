//! The foot of a record: signatures, fingerprints, devices.

use super::Paper;
use crate::paper::pdf::{Align, Cell, Column, Flow, Ink, Kind, Row, Style, Table};
use crate::paper::print::{BODY, SMALL, heads};
use crate::paper::words::fill;

impl Paper<'_> {
    pub(super) fn signatures(&self, flow: &mut Flow<'_>) {
        let words = self.words;
        flow.keep(96.0);
        flow.heading(2, words.signatures);
        let width = flow.width();
        let each = (width - 2.0 * 14.0) / 3.0;
        flow.down(30.0);
        let y = flow.y();
        let mut x = flow.left();
        let mut height: f32 = 0.0;
        for label in [
            words.sign_student,
            words.sign_instructor,
            words.sign_guardian,
        ] {
            let shaped = flow
                .set()
                .shape(label, SMALL.grey(), Some(each), Align::Left);
            height = height.max(shaped.height());
            let node = flow.node(Kind::Paragraph, None);
            let leaf = flow.leaf();
            leaf.rule(x, y, each, 0.7, Ink::Black);
            leaf.text(Some(node), shaped, x, y + 2.0);
            x += each + 14.0;
        }
        flow.down(height + 6.0);
    }

    pub(super) fn proof(&self, flow: &mut Flow<'_>) {
        let (words, proof) = (self.words, &self.record.proof);
        flow.keep(190.0);
        flow.heading(2, words.proof);
        flow.paragraph(&[(words.proof_how, BODY)]);
        flow.gap(6.0);
        let entries = |pattern, count: usize| fill(pattern, &[("n", &count.to_string())]);
        for (label, digits) in [
            (
                entries(words.fingerprint_all, proof.entries),
                proof.fingerprint.grouped(),
            ),
            (words.state.to_owned(), proof.state.to_string()),
            (
                entries(words.fingerprint_own, proof.own_entries),
                proof.own.grouped(),
            ),
        ] {
            flow.keep(40.0);
            flow.paragraph(&[(&label, SMALL.semi().grey())]);
            flow.paragraph(&[(&digits, Style::new(10.0).semi())]);
            flow.gap(4.0);
        }
        let rows = proof
            .parts
            .iter()
            .map(|(part, count, fingerprint)| {
                Row::of(vec![
                    Cell::new(words.part_of(*part), SMALL),
                    Cell::new(count.to_string(), SMALL),
                    Cell::new(fingerprint.check(), SMALL.semi()),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(40.0), Column::right(15.0), Column::left(45.0)],
            head: heads(&[words.part, words.entries, words.check]),
            rows,
        });
        flow.gap(8.0);
        let rows = proof
            .devices
            .iter()
            .map(|(key, signer)| {
                let device = signer.device.as_deref().unwrap_or(words.root_device);
                let key = key.map_or_else(|| "–".to_owned(), |key| key.to_string());
                Row::of(vec![
                    Cell::new(device, SMALL),
                    Cell::new(words.signer(signer), SMALL),
                    Cell::new(key, Style::new(6.4)),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(19.0), Column::left(24.0), Column::left(57.0)],
            head: heads(&[words.devices, words.by, words.key]),
            rows,
        });
        for (pattern, count) in [
            (words.newer_kept, proof.newer),
            (words.unverified_kept, proof.unverified),
            (words.irregular_kept, proof.irregular),
        ] {
            if count > 0 {
                flow.gap(4.0);
                let text = fill(pattern, &[("n", &count.to_string())]);
                flow.paragraph(&[(&text, SMALL.semi())]);
            }
        }
    }
}
