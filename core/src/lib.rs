//! Quarterturn's core: from a drawing and height gauge readings to findings and a sheet.
