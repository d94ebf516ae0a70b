#include "pipeline/desk/file/splice.h"

#include <algorithm>

namespace tabard::pipeline {

Splice splice_between(std::string_view before, std::string_view after)
{
    std::size_t const shorter = std::min(before.size(), after.size());
    auto const ahead =
        std::mismatch(before.begin(), before.begin() + static_cast<std::ptrdiff_t>(shorter), after.begin());
    auto const same = static_cast<std::size_t>(ahead.first - before.begin());
    std::size_t behind = 0;
    while (behind < shorter - same && before[before.size() - behind - 1] == after[after.size() - behind - 1])
        ++behind;
    return {same, std::string(before.substr(same, before.size() - same - behind)),
            std::string(after.substr(same, after.size() - same - behind))};
}

std::optional<std::string> spliced(std::string_view text, Splice const& splice)
{
    if (splice.offset > text.size() || !text.substr(splice.offset).starts_with(splice.old_bytes))
        return std::nullopt;
    std::string made(text.substr(0, splice.offset));
    made += splice.new_bytes;
    made += text.substr(splice.offset + splice.old_bytes.size());
    return made;
}

} // namespace tabard::pipeline
