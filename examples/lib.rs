//! hotside examples
