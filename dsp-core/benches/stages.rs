//! Times single stages with `criterion`: `cargo bench -p siskin-dsp --bench stages --features stages-alone`.

#[path = "../tests/signals/mod.rs"]
mod signals;

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use siskin_dsp::stages_alone::stages_alone;

use signals::Noise;

const RATE_HZ: f64 = 48_000.0;
/// Samples of noise: a tenth of a second, in whole hops.
const LENGTH: usize = 4800;

fn stages(criterion: &mut Criterion) {
    let mut noise = Noise::new(1);
    let sound: Vec<f32> = (0..LENGTH).map(|_| (0.1 * noise.sample()) as f32).collect();
    for (channels, name) in [(1, "mono"), (2, "stereo")] {
        let mut group = criterion.benchmark_group(format!("stage, {name}"));
        group.throughput(Throughput::Elements(LENGTH as u64));
        for mut stage in stages_alone(channels, RATE_HZ) {
            let mut buffers = [sound.clone(), sound.clone()];
            group.bench_function(stage.name, |bencher| {
                bencher.iter(|| {
                    buffers
                        .iter_mut()
                        .for_each(|buffer| buffer.copy_from_slice(&sound));
                    let [left, right] = &mut buffers;
                    stage.process(&mut [&mut left[..], &mut right[..]][..channels]);
                    black_box(&mut buffers);
                });
            });
        }
        group.finish();
    }
}

criterion_group!(benches, stages);
criterion_main!(benches);
