//! Values with standard uncertainties: the law of propagation of uncertainty, and sampling where
//! that fails. Knows nothing of air or boxes.
