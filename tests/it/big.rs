//! Records as large as one likes are read without a fault.

use crate::estate::big_record;
use fallmark::record;
use std::time::Instant;

#[test]
fn ten_thousand_pipes_are_read_without_a_fault() {
    let text = big_record(10_000);
    let begin = Instant::now();
    let reading = record::read("big.yaml", &text);
    println!("{} bytes, {} pipes read in {:?}", text.len(), reading.record.pipes.len(), begin.elapsed());
    assert_eq!(reading.faults.first(), None);
    assert!(reading.record.pipes.len() >= 10_000);
    let begin = Instant::now();
    let closed = reading.record.pipes.iter().filter(|p| reading.record.closed(&p.id, None).is_some()).count();
    let repeated = reading.record.tests.iter().filter(|t| reading.record.replaced_by(&t.id).is_some()).count();
    println!("{closed} closed, {repeated} repeated, in {:?}", begin.elapsed());
    assert_eq!((closed, repeated), (3_750, 1_250));
}
