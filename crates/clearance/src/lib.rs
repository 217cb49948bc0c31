//! Whether a header fits: its parts against the bay, against each other, against tools and the ground;
//! cold, hot and with the engine rocking.
