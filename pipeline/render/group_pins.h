#pragma once
#include <chrono>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Entries of a cache that a plan needs until its film is written: its machines fill the cache one after another, and
/// what the first made must be there when the last is done. A pin is a file "PLAN.pin" beside the entries: the machine
/// that made it and when, then the keys, one a line. It counts for a day after it was last renewed.
///
/// PLAN is a digest of the keys, so that all machines of one plan share one pin.
std::string plan_name(std::vector<std::string> const& keys);

constexpr std::chrono::hours kPinLasts{24};

/// Makes the pin, or renews it. False where that failed: entries may go then, which costs time alone.
bool pin_plan(std::filesystem::path const& folder, std::vector<std::string> const& keys);
/// Removes it: the film is written.
void unpin_plan(std::filesystem::path const& folder, std::vector<std::string> const& keys);
/// All keys that are pinned now. Removes pins that count no longer.
std::set<std::string> pinned_keys(std::filesystem::path const& folder);
/// Removes all pins.
void remove_pins(std::filesystem::path const& folder);

} // namespace tabard::pipeline
