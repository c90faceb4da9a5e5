//! What does a message cost the book, alone and in a burst?
//!
//! The disk's own wait for a commit is in both figures; in a burst it is shared.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use tallyhand::{
    conversation,
    store::{Delivery, Options, Store},
    units::{InboundId, Timestamp},
};

/// Messages of a burst.
const BURST: u64 = 256;

fn messages(criterion: &mut Criterion) {
    let folder = tempfile::TempDir::new().expect("a folder");
    let at: Timestamp = "2026-01-12T15:00:00Z".parse().expect("a time");
    let options = Options {
        handle: conversation::handle,
        zone: chrono_tz::America::Chicago,
        public_url: None,
        carry_answers: false,
        owner: "owner".into(),
        channels: Vec::new(),
        secret: || [7; 32],
    };
    let store = Store::open(&folder.path().join("book.sqlite"), options, at).expect("a book");
    let (handle, owner) = (store.handle(), store.owner().clone());
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    let mut next = 0_u64;
    let mut delivery = || {
        next += 1;
        Delivery {
            account: owner.account,
            member: owner.id,
            id: InboundId::new(format!("m_{next}")),
            channel: "bench".into(),
            external_id: next.to_string(),
            text: "note gate code 4411".into(),
            heard: None,
            answer_to: None,
            sent_at: None,
            media: Vec::new(),
            at,
        }
    };
    let mut group = criterion.benchmark_group("book");
    group.sample_size(20).throughput(Throughput::Elements(1));
    group.bench_function("a message alone", |bench| {
        bench.iter(|| runtime.block_on(handle.take(delivery())).expect("it is taken"));
    });
    group.throughput(Throughput::Elements(BURST));
    group.bench_function("a burst", |bench| {
        bench.iter(|| {
            let waiting: Vec<_> = (0..BURST)
                .map(|_| handle.enqueue(delivery()).expect("there is room"))
                .collect();
            runtime.block_on(async {
                for answer in waiting {
                    answer.await.expect("an answer comes").expect("it is taken");
                }
            });
        });
    });
    group.finish();
    store.close();
}

criterion_group!(benches, messages);
criterion_main!(benches);
