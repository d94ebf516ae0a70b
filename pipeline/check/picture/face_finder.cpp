#include "pipeline/check/picture/face_finder.h"

#include <opencv2/imgproc.hpp>
#include <opencv2/objdetect.hpp>

namespace tabard::pipeline {
namespace {

constexpr char const* kCascade = "/usr/share/opencv4/haarcascades/haarcascade_frontalface_default.xml";
constexpr double kLongSide = 480;

/// The luma plane upright and small, as 8 bits.
cv::Mat upright_grey(PictureView const& picture, VideoTrack const& video)
{
    auto const& plane = picture.planes[0];
    bool const deep = picture.layout.bit_depth > 8;
    cv::Mat const stored{plane.height, plane.width, deep ? CV_16U : CV_8U, plane.data,
                         static_cast<std::size_t>(plane.stride)};
    bool const turned = video.orientation.quarter_turns % 2 != 0;
    double const scale = kLongSide / std::max(video.displayed.width, video.displayed.height);
    cv::Size size{static_cast<int>(video.displayed.width * scale), static_cast<int>(video.displayed.height * scale)};
    if (turned)
        std::swap(size.width, size.height);
    cv::Mat grey;
    cv::resize(stored, grey, size, 0, 0, cv::INTER_AREA);
    if (deep)
        grey.convertTo(grey, CV_8U, 0.25);
    if (video.orientation.mirrored)
        cv::flip(grey, grey, 1);
    switch (video.orientation.quarter_turns) {
    case 1:
        cv::rotate(grey, grey, cv::ROTATE_90_CLOCKWISE);
        break;
    case 2:
        cv::rotate(grey, grey, cv::ROTATE_180);
        break;
    case 3:
        cv::rotate(grey, grey, cv::ROTATE_90_COUNTERCLOCKWISE);
        break;
    default:
        break;
    }
    return grey;
}

} // namespace

struct FaceFinder::Impl {
    cv::CascadeClassifier cascade;
};

FaceFinder::FaceFinder(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
FaceFinder::FaceFinder(FaceFinder&&) noexcept = default;
FaceFinder& FaceFinder::operator=(FaceFinder&&) noexcept = default;
FaceFinder::~FaceFinder() = default;

Result<FaceFinder> FaceFinder::create()
{
    auto impl = std::make_unique<Impl>();
    try {
        if (impl->cascade.load(kCascade))
            return FaceFinder{std::move(impl)};
    } catch (cv::Exception const&) { // a damaged file: the same to whoever asks
    }
    return Error{ErrorKind::not_found,
                 std::string{"faces cannot be found without "} + kCascade + ": install the package opencv-data"};
}

std::vector<overlay::Box> FaceFinder::find(PictureView const& picture, VideoTrack const& video)
{
    cv::Mat grey = upright_grey(picture, video);
    cv::equalizeHist(grey, grey);
    int const smallest = std::max(24, grey.rows / 10);
    std::vector<cv::Rect> found;
    m_impl->cascade.detectMultiScale(grey, found, 1.1, 5, 0, {smallest, smallest});
    std::vector<overlay::Box> boxes;
    for (auto const& face : found)
        boxes.push_back({static_cast<double>(face.x) / grey.cols, static_cast<double>(face.y) / grey.rows,
                         static_cast<double>(face.width) / grey.cols, static_cast<double>(face.height) / grey.rows});
    return boxes;
}

} // namespace tabard::pipeline
