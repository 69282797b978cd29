//! Reading and writing the plan file.
