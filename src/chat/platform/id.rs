//! The platform's ids, which hold the time at which they were made.

/// The platform's name in the record.
pub const PLATFORM: &str = "discord";
/// The platform counts its ids' milliseconds from here (Unix time), as its reference says:
/// <https://discord.com/developers/docs/reference#snowflakes>.
const EPOCH_MS: u64 = 1_420_070_400_000;

/// When the platform made an id, in Unix milliseconds.
pub const fn milliseconds(id: u64) -> u64 {
    (id >> 22) + EPOCH_MS
}

/// An id as the platform would have made it at that time, for asking what came after it.
pub const fn id_at(milliseconds: u64) -> u64 {
    milliseconds.saturating_sub(EPOCH_MS) << 22
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked example of the platform's reference, section “Snowflakes”.
    #[test]
    fn an_id_holds_its_time() {
        assert_eq!(milliseconds(175_928_847_299_117_063), 1_462_015_105_796);
        assert_eq!(milliseconds(id_at(1_462_015_105_796)), 1_462_015_105_796);
    }
}
