//! Current drawn by a load at a voltage and a duty.
