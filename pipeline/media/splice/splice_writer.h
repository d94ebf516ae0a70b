#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/coded_group.h"
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/read/h264_headers.h"
#include "pipeline/media/write/film_writer.h"

#include <filesystem>
#include <memory>

namespace tabard::pipeline {

/// Writes a film from groups of pictures that are coded already, and everything else of the source beside them as
/// FilmWriter does. Move-only; one thread at a time.
class SpliceWriter {
public:
    /// `configuration`: the film's own parameter sets and those of new groups. Of `options` the encoder and the part
    /// play no part. Errors: as FilmWriter::create().
    static Result<SpliceWriter> create(std::filesystem::path const& target, CodedFilm& source,
                                       AvcConfiguration const& configuration, WriteOptions const& options);
    SpliceWriter(SpliceWriter&&) noexcept;
    SpliceWriter& operator=(SpliceWriter&&) noexcept;
    ~SpliceWriter();

    /// Groups in order. Errors: io (disk full), interrupted.
    Result<void> write(CodedGroup const& group);
    Result<WriteReport> finish();

private:
    struct Impl;
    explicit SpliceWriter(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
