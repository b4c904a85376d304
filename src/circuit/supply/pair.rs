//! Sums of two: the little algebra of a supply with two capacitors.
//!
//! Purpose: vectors and matrices of two, without a library.
//!
//! Example: `apply(inverse(m), v)` solves `m x = v`.
//!
//! Limits: the inverse of a singular matrix holds infinities, which the caller
//! finds when nothing settles.

/// A vector of two.
pub(super) type Pair = [f64; 2];
/// A matrix of two rows.
pub(super) type Square = [Pair; 2];

/// The scalar product.
pub(super) fn dot(a: Pair, b: Pair) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// `m v`.
pub(super) fn apply(m: Square, v: Pair) -> Pair {
    [dot(m[0], v), dot(m[1], v)]
}

/// `a b`.
pub(super) fn multiply(a: Square, b: Square) -> Square {
    a.map(|row| std::array::from_fn(|j| row[0] * b[0][j] + row[1] * b[1][j]))
}

/// `I + scale m`.
pub(super) fn about_one(m: Square, scale: f64) -> Square {
    [[1.0 + scale * m[0][0], scale * m[0][1]], [scale * m[1][0], 1.0 + scale * m[1][1]]]
}

/// The inverse.
pub(super) fn inverse(m: Square) -> Square {
    let determinant = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    [
        [m[1][1] / determinant, -m[0][1] / determinant],
        [-m[1][0] / determinant, m[0][0] / determinant],
    ]
}
