#include "pipeline/media/read/coded_film.h"

#include "pipeline/media/read/picture_stream.h"

namespace tabard::pipeline {

CodedFilm::CodedFilm(std::unique_ptr<av::PictureStream> pictures) : m_pictures(std::move(pictures)) {}
CodedFilm::CodedFilm(CodedFilm&&) noexcept = default;
CodedFilm& CodedFilm::operator=(CodedFilm&&) noexcept = default;
CodedFilm::~CodedFilm() = default;

Result<CodedFilm> CodedFilm::open(std::filesystem::path const& path, std::stop_token stop)
{
    TRY_ASSIGN(auto pictures, av::PictureStream::open(path, std::move(stop)));
    return CodedFilm(std::make_unique<av::PictureStream>(std::move(pictures)));
}

MediaInfo const& CodedFilm::info() const { return m_pictures->info(); }

} // namespace tabard::pipeline
