//! Work shared out on threads.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What `work` makes of 0 to `count` - 1, in that order, on so many threads.
pub fn in_order<T: Send>(threads: usize, count: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let threads = threads.clamp(1, count.max(1));
    if threads == 1 {
        return (0..count).map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, T)>> = Mutex::new(Vec::with_capacity(count));
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let task = next.fetch_add(1, Ordering::Relaxed);
                    if task >= count {
                        return;
                    }
                    let made = work(task);
                    done.lock().unwrap_or_else(std::sync::PoisonError::into_inner).push((task, made));
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    done.sort_by_key(|(task, _)| *task);
    done.into_iter().map(|(_, made)| made).collect()
}
