//! A volume or an area as read, with what it was taken by.

use super::super::primitive::PrimitiveId;
use super::super::visit::Shown;

/// An amount with the scale it was taken by.
#[derive(Debug, Clone, Copy)]
pub struct Amount {
    /// The reading.
    pub reading: Shown,
    /// How true what it was taken by is.
    pub scale: PrimitiveId,
}
