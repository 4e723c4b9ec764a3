//! Numbers to text with engineering prefixes: `4.70 kΩ`.
