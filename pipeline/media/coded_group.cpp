#include "pipeline/media/coded_group.h"

#include <span>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kNumberBytes = 8;

void put_number(std::vector<std::byte>& to, std::int64_t number)
{
    for (std::size_t i = 0; i < kNumberBytes; ++i)
        to.push_back(static_cast<std::byte>(static_cast<std::uint64_t>(number) >> (8 * i)));
}

// Far beyond any clock, and so that neither differences nor sums overflow.
constexpr std::int64_t kMostTicks = std::int64_t{1} << 61;

bool is_within(std::int64_t ticks, std::int64_t most) { return -most <= ticks && ticks <= most; }

std::optional<std::int64_t> take_number(std::span<std::byte const>& from)
{
    if (from.size() < kNumberBytes)
        return std::nullopt;
    std::uint64_t number = 0;
    for (std::size_t i = 0; i < kNumberBytes; ++i)
        number |= static_cast<std::uint64_t>(from[i]) << (8 * i);
    from = from.subspan(kNumberBytes);
    return static_cast<std::int64_t>(number);
}

std::optional<CodedPicture> take_picture(SharedBytes const& bytes, std::span<std::byte const>& from,
                                         std::int64_t first_decoded)
{
    auto const shown = take_number(from);
    auto const decoded = take_number(from);
    auto const duration = take_number(from);
    auto const size = take_number(from);
    if (!size || *size < 0 || static_cast<std::size_t>(*size) > from.size())
        return std::nullopt;
    for (std::int64_t const stored : {*shown, *decoded})
        if (!is_within(stored, 2 * kMostTicks) || !is_within(stored + first_decoded, kMostTicks))
            return std::nullopt;
    auto data = bytes.part(bytes.size() - from.size(), static_cast<std::size_t>(*size));
    from = from.subspan(data.size());
    return CodedPicture{*shown + first_decoded, *decoded + first_decoded, *duration, std::move(data)};
}

} // namespace

std::size_t CodedGroup::bytes() const
{
    std::size_t total = 0;
    for (CodedPicture const& picture : pictures)
        total += picture.data.size();
    return total;
}

std::vector<std::byte> CodedGroup::serialise() const
{
    std::vector<std::byte> to;
    std::int64_t const first = pictures.empty() ? 0 : pictures.front().decoded;
    to.reserve(bytes() + pictures.size() * 4 * kNumberBytes);
    for (CodedPicture const& picture : pictures) {
        put_number(to, picture.shown - first);
        put_number(to, picture.decoded - first);
        put_number(to, picture.duration);
        put_number(to, static_cast<std::int64_t>(picture.data.size()));
        to.insert(to.end(), picture.data.begin(), picture.data.end());
    }
    return to;
}

std::optional<CodedGroup> CodedGroup::parse(SharedBytes const& bytes, std::int64_t first_decoded)
{
    CodedGroup group;
    std::span<std::byte const> rest = bytes;
    while (!rest.empty()) {
        auto picture = take_picture(bytes, rest, first_decoded);
        if (!picture)
            return std::nullopt;
        group.pictures.push_back(*std::move(picture));
    }
    return group;
}

std::string digest_of(CodedGroup const& group)
{
    GroupDigest digest;
    for (CodedPicture const& picture : group.pictures)
        digest.add(picture);
    return digest.hex();
}

} // namespace tabard::pipeline
