#include "pipeline/media/splice/group_reader.h"

#include "pipeline/media/read/picture_stream.h"

#include <fmt/format.h>

namespace tabard::pipeline {

struct GroupReader::Impl {
    av::PictureStream pictures;
    SpliceSource const& source;
    std::size_t group = 0;
};

GroupReader::GroupReader(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
GroupReader::GroupReader(GroupReader&&) noexcept = default;
GroupReader& GroupReader::operator=(GroupReader&&) noexcept = default;
GroupReader::~GroupReader() = default;

Result<GroupReader> GroupReader::open(SpliceSource const& source, std::stop_token stop)
{
    TRY_ASSIGN(auto pictures, av::PictureStream::open(source.info, std::move(stop)));
    return GroupReader(std::make_unique<Impl>(Impl{std::move(pictures), source}));
}

Result<std::optional<CodedGroup>> GroupReader::next()
{
    if (m_impl->group == m_impl->source.groups.size())
        return std::optional<CodedGroup>{};
    GroupPlace const& place = m_impl->source.groups[m_impl->group++];
    CodedGroup group;
    group.pictures.reserve(place.pictures);
    for (std::size_t i = 0; i < place.pictures; ++i) {
        TRY_ASSIGN(auto next, m_impl->pictures.next());
        if (!next || !next->shown_known || next->picture.shown != m_impl->source.shown[place.first_picture + i])
            return Error{ErrorKind::decode,
                         fmt::format("{}: the file changed while it was read", m_impl->source.info.path.string())};
        next->picture.decoded = m_impl->source.decoded[place.first_picture + i];
        group.pictures.push_back(std::move(next->picture));
    }
    return std::optional(std::move(group));
}

} // namespace tabard::pipeline
