//! Any bytes: read, measured, written as a schedule, and held to what must hold for any input.
#![no_main]

#[path = "../../common/sound.rs"]
mod sound;

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    // The last byte chooses how to measure, so that the search finds ways too.
    let way = data.last().map_or(0, |last| usize::from(*last) % sound::WAYS);
    if let Err(wrong) = sound::check(data, way) {
        panic!("way {way}: {wrong}");
    }
});
