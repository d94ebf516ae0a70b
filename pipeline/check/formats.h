#pragma once
#include "pipeline/check/checker.h"

#include <filesystem>
#include <span>
#include <string>

namespace tabard::pipeline {

/// `FILE:LINE:COLUMN: SEVERITY: what; how to fix it [code]`, one line a finding (the GNU Coding Standards' form, which
/// editors jump by). Empty where there is nothing to say.
std::string gnu_text(CheckResult const& result, std::filesystem::path const& file);

/// One document, "version": 1, see templates/findings.schema.json.
std::string json_text(CheckResult const& result, std::filesystem::path const& file);

/// A SARIF 2.1.0 log (OASIS), for code hosts. Advice is level "note"; accepted findings are suppressed results. Its
/// rules are all codes of this folder and `other_codes`.
std::string sarif_text(CheckResult const& result, std::filesystem::path const& file,
                       std::span<FindingCode const> other_codes = {});

/// "2 errors, 1 warning, 3 pieces of advice (1 accepted)"; "No problems found." where there is nothing.
std::string summary_text(CheckResult const& result);

/// A code for people, for --explain.
std::string explanation_text(FindingCode const& code);

} // namespace tabard::pipeline
