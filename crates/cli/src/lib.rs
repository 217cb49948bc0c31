//! The hotside command.
