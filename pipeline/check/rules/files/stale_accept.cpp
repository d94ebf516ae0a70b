#include "pipeline/check/rules/rules.h"

namespace tabard::pipeline {

// Found by the checker itself, which alone knows what was accepted.
Rule const kStaleAccept{"stale-accept", Severity::warning, "an acceptance without a finding",
                        "\"accept\" names a finding that is not made any more: it was fixed, or its part was "
                        "renamed. A forgotten acceptance would hide the next mistake of its kind. Take it out.",
                        [](CheckInput const&) { return std::vector<Finding>{}; }};

} // namespace tabard::pipeline
