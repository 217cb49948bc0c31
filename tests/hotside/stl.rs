//! Scans that tests make.

/// Triangles as a binary STL: no normals, an empty head.
pub fn binary_stl(triangles: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for triangle in triangles {
        bytes.extend([0; 12]);
        bytes.extend(triangle.iter().flatten().flat_map(|value| value.to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}
