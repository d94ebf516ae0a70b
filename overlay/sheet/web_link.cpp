#include "overlay/sheet/web_link.h"

#include <algorithm>
#include <array>
#include <cctype>

namespace tabard::overlay {

bool is_web_link(std::string_view link)
{
    constexpr std::array<std::string_view, 3> kAllowed{"https://", "http://", "mailto:"};
    // A link has no spaces and no control characters (RFC 3986, 2).
    if (std::ranges::any_of(link, [](unsigned char sign) { return sign <= 0x20 || sign == 0x7F; }))
        return false;
    auto const same = [](unsigned char a, unsigned char b) { return std::tolower(a) == b; };
    return std::ranges::any_of(kAllowed, [&](std::string_view allowed) {
        return link.size() > allowed.size() && std::ranges::equal(link.substr(0, allowed.size()), allowed, same);
    });
}

} // namespace tabard::overlay
