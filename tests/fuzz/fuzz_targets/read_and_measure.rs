//! Any bytes: read, measured, written as a schedule, and held to what must hold for any input.
#![no_main]

#[path = "../../common/encode.rs"]
mod encode;
#[path = "../../common/mangle.rs"]
mod mangle;
#[path = "../../common/sound.rs"]
mod sound;

use mangle::Random;

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    // The last byte chooses how to measure, so that the search finds ways too.
    let way = data.last().map_or(0, |last| usize::from(*last) % sound::WAYS);
    if let Err(wrong) = sound::check(data, way) {
        panic!("way {way}: {wrong}");
    }
});

// Bytes changed blindly seldom leave pairs of group code and value: half of the changes are to lines and numbers.
libfuzzer_sys::fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    let mut random = Random::new(u64::from(seed));
    if size == 0 || random.below(2) == 0 {
        return libfuzzer_sys::fuzzer_mutate(data, size, max_size);
    }
    let before = [(String::new(), data[..size].to_vec())];
    let mut after = if random.below(64) == 0 {
        encode::binary(&before[0].1, random.below(2) == 0)
    } else {
        mangle::mangle(&mut random, &before).0
    };
    if random.below(8) == 0 {
        // What stands behind the end does no harm, and says how to measure.
        after.push(b'0' + random.below(sound::WAYS) as u8);
    }
    after.truncate(max_size);
    data[..after.len()].copy_from_slice(&after);
    after.len()
});
