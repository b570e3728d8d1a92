//! How much memory this machine lets the program take.

use std::fs;
use std::path::Path;

/// Where it is not known.
const UNKNOWN: u64 = 4_000_000_000;

/// So much every drawing may take where the program may take many times that, for few are so large at the same time: real
/// drawings of 400,000 lines are.
const LEAST: u64 = 256_000_000;
const MANY: u64 = 8;

/// What one drawing may take: as many as there are cores take together half of what the program may, so that what is not
/// counted has room beside it. However many are measured at the same time it is the same, and so is what is measured.
pub fn memory_for_one() -> u64 {
    share(memory().unwrap_or(UNKNOWN), super::cores())
}

fn share(memory: u64, cores: usize) -> u64 {
    let share = memory / 2 / cores.max(1) as u64;
    if memory / MANY >= LEAST { share.max(LEAST) } else { share }
}

/// What the program may take at all: what is built in, or less where the system or whoever started it allows less.
/// `None` where the system does not say in these ways, which are those of Linux.
fn memory() -> Option<u64> {
    let text = |path: &str| fs::read_to_string(path).ok();
    let built_in = text("/proc/meminfo").and_then(|text| of_meminfo(&text));
    let of_process = text("/proc/self/limits").and_then(|text| of_limits(&text));
    let group = text("/proc/self/cgroup").unwrap_or_default();
    let of_groups = folders(&group).filter_map(|folder| text(&format!("{folder}/memory.max")));
    let of_groups = of_groups.filter_map(|text| text.trim().parse::<u64>().ok()).min();
    [built_in, of_process, of_groups].into_iter().flatten().min()
}

/// `MemTotal:       16303204 kB`
fn of_meminfo(text: &str) -> Option<u64> {
    let line = text.lines().find_map(|line| line.strip_prefix("MemTotal:"))?;
    line.trim().strip_suffix("kB")?.trim().parse::<u64>().ok()?.checked_mul(1024)
}

/// `Max address space         unlimited            unlimited            bytes`, and the same for the data.
fn of_limits(text: &str) -> Option<u64> {
    let limits = ["Max address space", "Max data size"];
    let of = |name: &str| {
        let rest = text.lines().find_map(|line| line.strip_prefix(name))?;
        rest.split_whitespace().next()?.parse::<u64>().ok()
    };
    limits.into_iter().filter_map(of).min()
}

/// The folders of the control groups that the process is in, from its own up to the one of all; with one hierarchy (version 2)
/// that is the line `0::/shop/measuring`.
fn folders(groups: &str) -> impl Iterator<Item = String> + '_ {
    let own = groups.lines().find_map(|line| line.strip_prefix("0::"));
    let up = own.into_iter().flat_map(|own| Path::new(own).ancestors());
    up.map(|folder| format!("/sys/fs/cgroup{}", folder.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_system_says() {
        assert_eq!(of_meminfo("MemTotal:       16303204 kB\nMemFree: 1 kB\n"), Some(16_303_204 * 1024));
        assert_eq!(of_meminfo("MemFree: 1 kB\n"), None);
        let limits = "Limit                     Soft Limit           Hard Limit           Units     \n\
                      Max data size             900000000            unlimited            bytes     \n\
                      Max address space         400000000            unlimited            bytes     \n";
        assert_eq!(of_limits(limits), Some(400_000_000));
        assert_eq!(
            of_limits("Max address space         unlimited            unlimited            bytes\n"),
            None
        );
        let groups: Vec<String> = folders("12:cpu:/a\n0::/shop/measuring\n").collect();
        assert_eq!(groups, ["/sys/fs/cgroup/shop/measuring", "/sys/fs/cgroup/shop", "/sys/fs/cgroup/"]);
        assert_eq!(folders("").count(), 0);
    }

    #[test]
    fn drawings_share_half() {
        assert_eq!(share(16_000_000_000, 4), 2_000_000_000);
        // Never so little that a large drawing is refused on a machine with many cores.
        assert_eq!(share(16_000_000_000, 1000), 256_000_000);
        assert_eq!((share(300_000_000, 2), share(300_000_000, 0)), (75_000_000, 150_000_000));
    }
}
