//! Text to numbers in SI base units: `4k7`, `2,2 Ah`, `10 µF`, `0.75 mm²`.
