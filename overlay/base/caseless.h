#pragma once
#include <string>
#include <string_view>

namespace tabard {

/// UTF-8 text as it is compared without regard to case and to the forms that one letter may have: NFKC_Casefold of the
/// Unicode Standard, section 3.13. Bytes that are no UTF-8 stay.
std::string caseless(std::string_view text);

} // namespace tabard
