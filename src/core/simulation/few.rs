//! A short list that lies in place.

use std::ops::{Deref, DerefMut};

use serde::Serialize;
use smallvec::SmallVec;

/// A list of usually at most `N`, which does not allocate; a slice to its readers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(bound = "T: Serialize", transparent)]
pub struct Few<T, const N: usize>(SmallVec<[T; N]>);

impl<T, const N: usize> Few<T, N> {
    pub(super) fn push(&mut self, value: T) {
        self.0.push(value);
    }

    pub(super) fn insert(&mut self, at: usize, value: T) {
        self.0.insert(at, value);
    }

    pub(super) fn clear(&mut self) {
        self.0.clear();
    }
}

impl<T, const N: usize> Default for Few<T, N> {
    fn default() -> Self {
        Few(SmallVec::new())
    }
}

impl<T, const N: usize> Deref for Few<T, N> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T, const N: usize> DerefMut for Few<T, N> {
    fn deref_mut(&mut self) -> &mut [T] {
        &mut self.0
    }
}

impl<'a, T, const N: usize> IntoIterator for &'a Few<T, N> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}
