//! Preferred values E3 to E192 and part markings.
