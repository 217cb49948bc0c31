//! hotside tests
