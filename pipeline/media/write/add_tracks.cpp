#include "pipeline/media/write/add_tracks.h"

#include <algorithm>
#include <cstring>
#include <string_view>

namespace tabard::pipeline::av {
namespace {

constexpr AVRational kMilliseconds{1, 1000};

void set_extradata(AVCodecParameters& parameters, void const* bytes, std::size_t size)
{
    parameters.extradata = static_cast<std::uint8_t*>(av_mallocz(size + AV_INPUT_BUFFER_PADDING_SIZE));
    if (!parameters.extradata)
        throw std::bad_alloc();
    std::memcpy(parameters.extradata, bytes, size);
    parameters.extradata_size = static_cast<int>(size);
}

// Players show one track of captions at a time.
bool hide_other_captions(Output& output)
{
    bool hidden = false;
    for (unsigned i = 0; i < output->nb_streams; ++i) {
        AVStream& stream = *output->streams[i];
        bool const captions = stream.codecpar->codec_type == AVMEDIA_TYPE_SUBTITLE;
        if (!captions || (stream.disposition & AV_DISPOSITION_FORCED) != 0)
            continue;
        hidden = hidden || (stream.disposition & AV_DISPOSITION_DEFAULT) != 0;
        stream.disposition &= ~AV_DISPOSITION_DEFAULT;
    }
    return hidden;
}

void add_captions(AddedCaptions const& captions, Output& output)
{
    AVStream& stream = *output.add_stream();
    stream.codecpar->codec_type = AVMEDIA_TYPE_SUBTITLE;
    stream.codecpar->codec_id = AV_CODEC_ID_ASS;
    stream.time_base = kMilliseconds;
    stream.disposition = captions.shown_by_default ? AV_DISPOSITION_DEFAULT : 0;
    set_extradata(*stream.codecpar, captions.header.data(), captions.header.size());
    av_dict_set(&stream.metadata, "title", captions.title.c_str(), 0);
}

void add_attachment(Attachment const& attachment, Output& output)
{
    AVStream& stream = *output.add_stream();
    stream.codecpar->codec_type = AVMEDIA_TYPE_ATTACHMENT;
    stream.codecpar->codec_id = attachment.mime_type == "font/otf" ? AV_CODEC_ID_OTF : AV_CODEC_ID_TTF;
    set_extradata(*stream.codecpar, attachment.bytes.data(), attachment.bytes.size());
    av_dict_set(&stream.metadata, "filename", attachment.file_name.c_str(), 0);
    av_dict_set(&stream.metadata, "mimetype", attachment.mime_type.c_str(), 0);
}

} // namespace

std::vector<std::string> add_tracks(AddedTracks const& added, Output& output)
{
    std::vector<std::string> notes;
    if (std::ranges::any_of(added.captions, &AddedCaptions::shown_by_default) && hide_other_captions(output))
        notes.emplace_back("The film's own captions are no longer shown by default: players show one such track at a "
                           "time, and the overlays come first.");
    for (AddedCaptions const& captions : added.captions)
        add_captions(captions, output);
    for (Attachment const& attachment : added.attachments)
        add_attachment(attachment, output);
    return notes;
}

Result<void> put_event(AddedCaptions::Event const& event, int stream, Output& output)
{
    PacketHandle const packet = make_packet();
    if (av_new_packet(packet.get(), static_cast<int>(event.fields.size())) < 0)
        throw std::bad_alloc();
    std::memcpy(packet->data, event.fields.data(), event.fields.size());
    packet->stream_index = stream;
    packet->flags |= AV_PKT_FLAG_KEY;
    packet->pts = packet->dts = to_ticks(event.in, 1, 1000);
    packet->duration = to_ticks(event.out - event.in, 1, 1000);
    av_packet_rescale_ts(packet.get(), kMilliseconds, output.stream(stream)->time_base);
    return output.put(packet.get());
}

} // namespace tabard::pipeline::av
