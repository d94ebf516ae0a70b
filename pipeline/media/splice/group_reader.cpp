#include "pipeline/media/splice/group_reader.h"

#include "overlay/base/precondition.h"
#include "pipeline/media/read/picture_stream.h"

#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {

struct GroupReader::Impl {
    av::PictureStream& pictures;
    SpliceSource const& source;
    std::size_t group = 0;
    std::optional<CodedPicture> first; ///< of `group`, where it was read already
    bool seeks = true;                 ///< seeking has always led to the group so far

    bool is_due(std::optional<av::PictureStream::Next> const& next, std::size_t picture) const
    {
        return next && next->shown_known && next->picture.shown == source.shown[picture];
    }
    // No reason to do it in another way: what is there now is another film.
    Error changed() const
    {
        return {ErrorKind::io, fmt::format("{}: the file changed while it was read", source.info.path.string())};
    }
};

GroupReader::GroupReader(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
GroupReader::GroupReader(GroupReader&&) noexcept = default;
GroupReader& GroupReader::operator=(GroupReader&&) noexcept = default;
GroupReader::~GroupReader() = default;

Result<GroupReader> GroupReader::open(CodedFilm& film, SpliceSource const& source)
{
    TRY_VOID(film.pictures().rewind());
    return GroupReader(std::make_unique<Impl>(Impl{film.pictures(), source, 0, {}, true}));
}

Result<std::optional<CodedGroup>> GroupReader::next()
{
    Impl& impl = *m_impl;
    if (impl.group == impl.source.groups.size())
        return std::optional<CodedGroup>{};
    GroupPlace const& place = impl.source.groups[impl.group++];
    CodedGroup group;
    group.pictures.reserve(place.pictures);
    if (impl.first)
        group.pictures.push_back(*std::exchange(impl.first, std::nullopt));
    for (std::size_t i = group.pictures.size(); i < place.pictures; ++i) {
        TRY_ASSIGN(auto next, impl.pictures.next());
        if (!impl.is_due(next, place.first_picture + i))
            return impl.changed();
        group.pictures.push_back(std::move(next->picture));
    }
    for (std::size_t i = 0; i < place.pictures; ++i) {
        group.pictures[i].decoded = impl.source.decoded[place.first_picture + i];
        group.pictures[i].duration = impl.source.durations[place.first_picture + i];
    }
    return std::optional(std::move(group));
}

Result<void> GroupReader::skip_to(std::size_t group)
{
    Impl& impl = *m_impl;
    PRECONDITION(group >= impl.group && group < impl.source.groups.size());
    if (group == impl.group)
        return {};
    if (impl.seeks) {
        std::size_t const first = impl.source.groups[group].first_picture;
        TRY_ASSIGN(bool const sought, impl.pictures.seek(impl.source.shown[first]));
        if (sought) {
            TRY_ASSIGN(auto next, impl.pictures.next());
            if (impl.is_due(next, first)) {
                impl.group = group;
                impl.first = std::move(next->picture);
                return {};
            }
        }
        impl.seeks = false;
        TRY_VOID(impl.pictures.rewind());
        impl.group = 0;
        impl.first.reset();
    }
    while (impl.group < group)
        TRY_VOID(next());
    return {};
}

} // namespace tabard::pipeline
