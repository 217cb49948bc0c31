//! Closed triangle meshes of pieces, straight from the kernel.
