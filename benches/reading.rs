//! Reading speed: one drawing of 50 MB, many drawings of 20 kB, and the `dxf` crate on the same bytes.

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::Duration;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use tracearm::drawing::Drawing;

mod common;
use common::Content;

const LARGE: usize = 50_000_000;
const SMALL: usize = 20_000;
const FILES: u64 = 1000;

fn one_large_drawing(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("50 MB drawing");
    group.sample_size(10).measurement_time(Duration::from_secs(5));
    for (name, content) in
        [("mixed", Content::Mixed), ("polylines", Content::Polylines), ("bare lines", Content::BareLines)]
    {
        let text = common::drawing(content, LARGE, 7);
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(name, |bencher| {
            bencher.iter(|| Drawing::read(black_box(text.as_bytes())).map(|drawing| drawing.entities.len()));
        });
    }
    let bytes = common::binary(LARGE, 7);
    group.throughput(Throughput::Bytes(bytes.len() as u64));
    group.bench_function("mixed, binary", |bencher| {
        bencher.iter(|| Drawing::read(black_box(&bytes[..])).map(|drawing| drawing.entities.len()));
    });
    group.finish();
}

fn the_dxf_crate(criterion: &mut Criterion) {
    // A fifth of the size: it reads at a constant rate, and ten samples of 50 MB would take a minute.
    let text = common::drawing(Content::Mixed, LARGE / 5, 7);
    let mut group = criterion.benchmark_group("10 MB drawing, mixed");
    group.sample_size(10).throughput(Throughput::Bytes(text.len() as u64));
    group.bench_function("this reader", |bencher| {
        bencher.iter(|| Drawing::read(black_box(text.as_bytes())).map(|drawing| drawing.entities.len()));
    });
    group.bench_function("dxf crate", |bencher| {
        bencher.iter(|| {
            dxf::Drawing::load(&mut black_box(text.as_bytes())).map(|drawing| drawing.entities().count())
        });
    });
    group.finish();
}

fn many_small_files(criterion: &mut Criterion) {
    let folder = std::env::temp_dir().join(format!("tracearm-reading-{}", std::process::id()));
    let Ok(paths) = written(&folder) else {
        eprintln!("cannot write into {}: the files are left out", folder.display());
        return;
    };
    let mut group = criterion.benchmark_group("1000 files of 20 kB");
    group.sample_size(10).throughput(Throughput::Elements(FILES));
    group.bench_function("open", |bencher| {
        bencher.iter(|| {
            let read = paths.iter().filter_map(|path| Drawing::open(path).ok());
            read.map(|drawing| drawing.entities.len()).sum::<usize>()
        });
    });
    group.finish();
    let _ = std::fs::remove_dir_all(&folder);
}

fn written(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    std::fs::create_dir_all(folder)?;
    (0..FILES)
        .map(|i| {
            let path = folder.join(format!("{i}.dxf"));
            std::fs::write(&path, common::drawing(Content::Mixed, SMALL, i))?;
            Ok(path)
        })
        .collect()
}

criterion_group!(benches, one_large_drawing, the_dxf_crate, many_small_files);
criterion_main!(benches);
