//! The integration crate: everything that a person or another program sees, through the front door.

mod timing_calibration;
mod timing_model;
mod timing_reference;
