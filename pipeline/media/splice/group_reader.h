#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/coded_group.h"
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/splice/splice_source.h"

#include <memory>
#include <optional>

namespace tabard::pipeline {

/// The groups of an open film in order, as they were coded. Move-only; one thread at a time.
class GroupReader {
public:
    /// Begins at the first group. Borrows both.
    static Result<GroupReader> open(CodedFilm& film, SpliceSource const& source);
    GroupReader(GroupReader&&) noexcept;
    GroupReader& operator=(GroupReader&&) noexcept;
    ~GroupReader();

    /// None after the last group of `source`. Errors: io if the film has changed since it was inspected; interrupted.
    Result<std::optional<CodedGroup>> next();
    /// next() gives `group` then: not one that was given already. Reads none between where the container leads there.
    Result<void> skip_to(std::size_t group);

private:
    struct Impl;
    explicit GroupReader(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
