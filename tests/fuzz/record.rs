//! Feeds any bytes to the reader: it ends, and every fault it gives lies inside the text and says what would do.

use fallmark::record;

/// Reads bytes as a record and holds what comes back against what must always be so.
pub fn read(bytes: &[u8]) {
    let reading = record::read_bytes("fuzz", bytes);
    assert!(reading.whole || reading.faults.len() == 1, "a text that is no record has one fault");
    for fault in &reading.faults {
        let (line, column) = reading.source.place(fault.span.start);
        assert!(line >= 1 && column >= 1);
        assert!(fault.span.start <= reading.source.text.len(), "{fault:?}");
        assert!(!fault.what.is_empty() && !fault.help.is_empty() && fault.what.len() < 2_000, "{fault:?}");
    }
    for pipe in &reading.record.pipes {
        assert!(pipe.span.end() <= reading.source.text.len());
        let _ = reading.record.closed(&pipe.id, None);
    }
    for test in &reading.record.tests {
        let _ = reading.record.replaced_by(&test.id);
    }
}
