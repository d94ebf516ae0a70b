#pragma once
#include "pipeline/render/film.h"
#include "pipeline/render/group_key.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// One part of the work of a film that several machines share: the first is number 1.
struct Share {
    int number = 1;
    int of = 1;
};

/// "2/4". Fails with invalid_input.
Result<Share> parse_share(std::string const& text);

/// Which share makes each touched group of `plan`, 1 to `of`; 0 for all other groups. Depends on the plan alone, and
/// no share has more pictures than another by more than its last group.
std::vector<int> shares_of(FilmPlan const& plan, int of);

/// The keys of a film's touched groups in order, as another machine planned them.
struct ExpectedKeys {
    KeyParts parts;
    std::vector<std::string> keys;
};

struct ShareReport {
    std::int64_t groups = 0; ///< of this share,
    std::int64_t encoded = 0;
    std::int64_t from_cache = 0; ///< and in the cache already
    std::int64_t touched = 0;    ///< of all shares
    std::int64_t bytes = 0;      ///< that were stored
};

/// Encodes the groups of one share into `job.cache`, but for those it has, and writes no film. Every machine that is
/// given the same lesson, footage and settings makes the same groups; where `expected` says otherwise nothing is done.
/// The groups of all shares are pinned in the cache until a film is made of them (see group_pins.h). Errors: as
/// render_film(); unsupported where the whole film has to be encoded; invalid_input where `expected` differs; io where
/// the cache takes a group not.
Result<ShareReport> render_share(FilmJob const& job, Share share, std::optional<ExpectedKeys> const& expected);

} // namespace tabard::pipeline
