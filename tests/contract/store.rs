//! What every [`Store`] must do: sled and memory answer alike.

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::Path;

use spareseat::store::{MemoryStore, SledStore, Store, StoreError, Write};

/// A store that forgets when it is dropped opens once; one that keeps opens again.
type Open<'a> = &'a dyn Fn() -> Result<Box<dyn Store>, StoreError>;

fn rows(store: &dyn Store, prefix: &[u8]) -> Vec<(Vec<u8>, Vec<u8>)> {
    let mut out = Vec::new();
    let each = &mut |key: &[u8], value: &[u8]| {
        out.push((key.to_vec(), value.to_vec()));
        ControlFlow::Continue(())
    };
    store.scan(prefix, each).expect("a scan");
    out
}

fn put(key: &[u8], value: &[u8]) -> Write {
    (key.to_vec(), Some(value.to_vec()))
}

fn gets_what_was_put(store: &dyn Store) {
    assert_eq!(store.get(b"a").expect("a get"), None);
    store.apply(vec![put(b"a", b"1"), put(b"", b"the empty key"), put(b"b", b"")]).expect("applied");
    assert_eq!(store.get(b"a").expect("a get").as_deref(), Some(&b"1"[..]));
    assert_eq!(store.get(b"").expect("a get").as_deref(), Some(&b"the empty key"[..]));
    assert_eq!(store.get(b"b").expect("a get").as_deref(), Some(&b""[..]), "an empty value is a value");
    store
        .apply(vec![put(b"a", b"2"), (b"b".to_vec(), None), (b"not there".to_vec(), None)])
        .expect("applied");
    assert_eq!(store.get(b"a").expect("a get").as_deref(), Some(&b"2"[..]));
    assert_eq!(store.get(b"b").expect("a get"), None, "deleted");
}

fn applies_in_the_order_given(store: &dyn Store) {
    store.apply(vec![put(b"k", b"1"), (b"k".to_vec(), None), put(b"k", b"3")]).expect("applied");
    assert_eq!(store.get(b"k").expect("a get").as_deref(), Some(&b"3"[..]));
    store.apply(vec![put(b"k", b"4"), (b"k".to_vec(), None)]).expect("applied");
    assert_eq!(store.get(b"k").expect("a get"), None);
    store.apply(Vec::new()).expect("nothing is something to apply too");
}

fn scans_a_prefix_in_order(store: &dyn Store) {
    let keys: [&[u8]; 7] = [b"a", b"a\x00", b"a\x00\xff", b"a\x01", b"a\xff", b"a\xff\xff", b"b"];
    // Put in another order than they lie.
    store.apply(keys.iter().rev().map(|k| put(k, k)).collect()).expect("applied");
    for (prefix, expected) in [
        (&b""[..], &keys[..]),
        (b"a", &keys[..6]),
        (b"a\x00", &keys[1..3]),
        (b"a\xff", &keys[4..6]),
        (b"b", &keys[6..]),
        (b"c", &[]),
    ] {
        let found: Vec<Vec<u8>> = rows(store, prefix).into_iter().map(|(k, _)| k).collect();
        assert_eq!(found, expected, "prefix {prefix:?}");
    }
    let mut seen = 0;
    let each = &mut |_: &[u8], _: &[u8]| {
        seen += 1;
        if seen == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    store.scan(b"", each).expect("a scan");
    assert_eq!(seen, 3, "a scan ends where it is told to");
}

/// Readers beside a writer see a batch whole or not at all. One row is read at a time: a scan is no snapshot.
fn applies_all_or_nothing(store: &dyn Store) {
    let batch = |n: u32| (0..40_u8).map(|k| put(&[b'x', k], &n.to_be_bytes())).collect::<Vec<Write>>();
    let number = |key: &[u8]| {
        store.get(key).expect("a get").map(|v| u32::from_be_bytes(v[..].try_into().expect("four")))
    };
    store.apply(batch(0)).expect("applied");
    std::thread::scope(|threads| {
        threads.spawn(|| (1..300).for_each(|n| store.apply(batch(n)).expect("applied")));
        loop {
            // The last row of a batch is never older than the first was when it was read before.
            let (first, last) = (number(&[b'x', 0]), number(&[b'x', 39]));
            assert!(first <= last, "a part of a batch was seen: {first:?}, then {last:?}");
            if last == Some(299) {
                break;
            }
        }
    });
}

fn agrees_with_a_map(store: &dyn Store) {
    let mut map: BTreeMap<Vec<u8>, Vec<u8>> = BTreeMap::new();
    let mut random = fastrand::Rng::with_seed(25);
    for round in 0..300 {
        let writes: Vec<Write> = (0..random.usize(0..20))
            .map(|_| {
                let key: Vec<u8> = (0..random.usize(1..4)).map(|_| random.u8(..4)).collect();
                let value = random.bool().then(|| vec![random.u8(..); random.usize(0..6000)]);
                (key, value)
            })
            .collect();
        for (key, value) in writes.clone() {
            match value {
                Some(value) => map.insert(key, value),
                None => map.remove(&key),
            };
        }
        store.apply(writes).expect("applied");
        if round % 10 == 0 {
            let prefix = vec![random.u8(..4); random.usize(0..2)];
            let expected = map.range(prefix.clone()..).take_while(|(k, _)| k.starts_with(&prefix));
            let expected: Vec<_> = expected.map(|(k, v)| (k.clone(), v.clone())).collect();
            assert!(rows(store, &prefix) == expected, "round {round}, prefix {prefix:?}");
        }
    }
}

fn holds_to_the_contract(open: Open<'_>, keeps: bool) {
    let clear = |store: &dyn Store| {
        let all = rows(store, b"").into_iter().map(|(key, _)| (key, None)).collect();
        store.apply(all).expect("applied");
        assert!(rows(store, b"").is_empty());
    };
    let store = open().expect("it opens");
    for part in [gets_what_was_put, applies_in_the_order_given, scans_a_prefix_in_order, agrees_with_a_map] {
        part(&*store);
        clear(&*store);
    }
    applies_all_or_nothing(&*store);
    store.flush().expect("flushed");
    let before = rows(&*store, b"");
    drop(store);
    if keeps {
        assert!(rows(&*patiently(open), b"") == before, "what was flushed is there again");
    }
}

/// sled gives its lock back a moment after it was dropped.
fn patiently(open: Open<'_>) -> Box<dyn Store> {
    for _ in 0..500 {
        match open() {
            Err(StoreError::Busy) => std::thread::sleep(std::time::Duration::from_millis(10)),
            other => return other.expect("it opens again"),
        }
    }
    panic!("busy for five seconds")
}

#[test]
fn the_store_in_memory() {
    holds_to_the_contract(&|| Ok(Box::new(MemoryStore::default())), false);
}

fn sled(folder: &Path) -> Result<Box<dyn Store>, StoreError> {
    Ok(Box::new(SledStore::open(folder)?))
}

#[test]
fn the_store_in_sled() {
    let folder = crate::support::folder();
    holds_to_the_contract(&|| sled(folder.path()), true);
}

#[test]
fn sled_open_twice_is_busy_and_not_broken() {
    let folder = crate::support::folder();
    let held = sled(folder.path()).expect("it opens");
    assert_eq!(sled(folder.path()).err(), Some(StoreError::Busy));
    assert_eq!(held.get(b"a"), Ok(None), "and the first goes on");
}

/// A leftover of an interrupted snapshot, empty, would block opening for ever.
#[test]
fn sled_opens_over_an_empty_leftover() {
    let folder = crate::support::folder();
    std::fs::write(folder.path().join("snap.0000000000000001.generating"), b"").expect("a leftover");
    sled(folder.path()).expect("it opens").apply(vec![put(b"a", b"1")]).expect("applied");
}

/// A database that is cut short makes sled panic inside its open: here it is an error, and nobody sees the panic.
#[test]
fn sled_cut_short_is_an_error_and_no_panic() {
    let folder = crate::support::folder();
    let store = sled(folder.path()).expect("it opens");
    store.apply((0..200_u8).map(|n| put(&[n], &[n; 2000])).collect()).expect("applied");
    store.flush().expect("flushed");
    drop(store);
    // Opened again it writes a snapshot, which then knows of more than a shorter file holds.
    patiently(&|| sled(folder.path())).flush().expect("flushed");
    let file = folder.path().join("db");
    let whole = std::fs::read(&file).expect("read");
    let mut refused = 0;
    for tenth in 1..10 {
        let copy = crate::support::folder();
        crate::faults::world::copy(folder.path(), copy.path());
        std::fs::write(copy.path().join("db"), &whole[..whole.len() * tenth / 10]).expect("written");
        match sled(copy.path()) {
            Err(StoreError::Broken(why)) => {
                assert!(!why.is_empty());
                refused += 1;
            }
            Err(StoreError::Busy) => panic!("nobody else has it open"),
            Ok(_) => {}
        }
    }
    assert!(refused > 0, "a database cut to a tenth opened as if whole");
}
