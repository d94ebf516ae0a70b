#include "overlay/base/caseless.h"

#include "overlay/base/precondition.h"

#include <unicode/bytestream.h>
#include <unicode/normalizer2.h>

namespace tabard {

std::string caseless(std::string_view text)
{
    UErrorCode status = U_ZERO_ERROR;
    icu::Normalizer2 const* const folding = icu::Normalizer2::getNFKCCasefoldInstance(status);
    PRECONDITION(U_SUCCESS(status)); // ICU's rules are part of its library
    std::string result;
    icu::StringByteSink<std::string> sink(&result);
    folding->normalizeUTF8(0, {text.data(), static_cast<std::int32_t>(text.size())}, sink, nullptr, status);
    PRECONDITION(U_SUCCESS(status));
    return result;
}

} // namespace tabard
