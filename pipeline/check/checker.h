#pragma once
#include "pipeline/check/rule.h"

#include <span>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A finding and how many more say the same in other places.
struct FoldedFinding {
    Finding finding;
    int more = 0;
    std::string section; ///< name of the section it stands in; empty outside
    friend bool operator==(FoldedFinding const&, FoldedFinding const&) = default;
};

/// A finding that the author accepted, and why.
struct AcceptedFinding {
    Finding finding;
    std::string reason;
};

struct CheckResult {
    std::vector<FoldedFinding> findings; ///< in the order of the film, then of the file
    std::vector<AcceptedFinding> accepted;
    int errors = 0;
    int warnings = 0;
    int advice = 0;
};

struct CheckOptions {
    bool strict = false;      ///< warnings become errors
    bool charts_only = false; ///< only rules about charts look
};

/// What is found elsewhere than by a rule, as in the film's sound.
struct OtherFindings {
    std::span<FindingCode const> codes; ///< all that may be found there
    bool sought = false;                ///< somebody looked; else an acceptance of such a code is not stale
    std::vector<Finding> findings;
};

/// Runs every rule on a lesson that was read, takes out what the author accepts, reports acceptances that nothing needs
/// any more, folds repetitions and sorts. `read` are the reader's findings.
CheckResult check_lesson(CheckInput input, std::vector<Finding> read, OtherFindings others = {},
                         CheckOptions const& options = {});

/// The same where the file could not be understood at all.
CheckResult check_result(std::vector<Finding> read, CheckOptions const& options = {});

} // namespace tabard::pipeline
