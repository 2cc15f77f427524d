#!/usr/bin/env bash
# Mutation testing of the rooms that decide, with their unit tests alone: rules, fair, and the
# deciding of the referee. tests/mutants.md says what the last run found.
#
#     cargo install cargo-mutants --locked      a tool, never a dependency
#     bash tests/mutants.sh                     all three
#     bash tests/mutants.sh fair                one of them
#
# Each mutant is a build, and building the whole program links the chat and the database every time.
# So the rooms are copied into a crate of their own with nothing above them: seconds a mutant.
set -euo pipefail
cd "$(dirname "$0")/.."
crate=${MUTANTS_CRATE:-$(mktemp -d)}

# What is below the referee as it stands, and of the referee only what decides, in these files, and
# what they refuse with.
deciding='decide decision policy roll throws'
mkdir -p "$crate/src/referee"
cp -r config Cargo.lock "$crate/"
cp -r src/{text.rs,digest.rs,altered.rs,rules,fair,protocol,battle,combat} "$crate/src/"
cp -r src/referee/{refusal.rs,tests} "$crate/src/referee/"
for file in $deciding; do cp "src/referee/$file.rs" "$crate/src/referee/"; done

# Of the libraries those that these files name.
named() {
    sed -n '/^\[dependencies\]/,/^\[\[/p' Cargo.toml | grep -E '^[a-z0-9_-]+ = ' | while read -r line; do
        library=${line%% *}
        if grep -rqE "\b${library//-/_}::" "$crate/src"; then echo "$line"; fi
    done
}
{
    grep -E '^(edition|rust-version) = ' Cargo.toml | sed '1i [package]\nname = "drumhead"\nversion = "0.1.0"'
    printf '\n[dependencies]\n'
    named
    printf '\n[lib]\ndoctest = false\n\n[profile.dev]\ndebug = false\n\n[workspace]\n'
} > "$crate/Cargo.toml"

cat > "$crate/src/lib.rs" <<'RUST'
#![allow(dead_code, missing_docs)]
#[cfg(test)]
mod altered;
pub mod battle;
pub mod combat;
pub mod digest;
pub mod fair;
pub mod protocol;
pub mod referee;
pub mod rules;
pub mod text;

/// A refusal can hold what the rooms left out here get wrong.
pub mod odds {
    #[derive(Debug, thiserror::Error)]
    pub enum OddsError {
        #[error(transparent)]
        Mistake(crate::battle::Mistake),
        #[error("no odds")]
        None,
    }
}

/// The same of the record.
pub mod record {
    #[derive(Debug, thiserror::Error)]
    pub enum RecordError {
        #[error("{0}")]
        Full(String),
        #[error("{0}")]
        Busy(String),
        #[error("another")]
        Other,
    }
}
RUST

{
    for file in $deciding refusal; do echo "pub mod $file;"; done
    cat <<'RUST'
pub use policy::{Asker, Needs};
pub use refusal::{Fault, Refusal};
#[cfg(test)]
mod tests;
mod turns {
    #[derive(Debug, thiserror::Error)]
    #[error("crowded")]
    pub struct Crowded;
}
RUST
} > "$crate/src/referee/mod.rs"

# The room, its files, and with them the tests that are to notice.
mutants() {
    local room=$1 status=0
    shift
    echo "== $room"
    (cd "$crate" && nice cargo mutants -j1 --no-shuffle --timeout 30 --colors never \
        --output "$crate/$room" "$@" -- --lib "$room::") || status=$?
    # 2 and 3 say that some were missed or timed out; anything else, that nothing was tried.
    case $status in 0 | 2 | 3) ;; *) exit "$status" ;; esac
}

rooms=${*:-rules fair referee}
for room in $rooms; do
    case $room in
        rules | fair) mutants "$room" --file "src/$room/**" ;;
        referee) mutants referee --file "src/referee/{${deciding// /,}}.rs" ;;
        *) echo "no room is called $room: use rules, fair or referee" >&2; exit 1 ;;
    esac
done

echo
for room in $rooms; do
    found=$crate/$room/mutants.out
    count() { cat "${@/#/$found/}" | wc -l; }
    echo "$room: $(count {caught,unviable,timeout,missed}.txt) made, $(count caught.txt) caught," \
        "$(count unviable.txt) unviable, $(count timeout.txt) timed out, $(count missed.txt) left"
    cat "$found/timeout.txt" "$found/missed.txt"
done
echo "Whatever is left stands in tests/mutants.md with its reason, or wants a test."
