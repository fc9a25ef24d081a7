//! Declination, the map grid and compass traverses. Empty until the set-up lands.
