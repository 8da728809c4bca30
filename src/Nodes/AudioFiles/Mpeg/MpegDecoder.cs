using NLayer;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles.Decoding;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Mpeg;

/// <summary>Decodes an MP3 file with NLayer, frame by frame, without what encoder and decoder put before the song.</summary>
/// <param name="skipFrames">Frames of sound that lie before the song.</param>
internal sealed class MpegDecoder(StemFile file, MpegStream stream, long skipFrames) : ISequentialDecoder
{
    private readonly MpegFrame _frame = new();
    private readonly float[] _samples = new float[stream.Header.Samples * stream.Header.Channels];
    private MpegFrameDecoder _decoder = new();
    private long _offset = stream.FirstOffset;

    /// <summary>Of what was decoded last, counted from the stream's beginning.</summary>
    private long _at;

    /// <inheritdoc/>
    public int MostFrames => stream.Header.Samples;

    /// <inheritdoc/>
    public int Decode(Signal into)
    {
        while (_offset < stream.EndOffset)
        {
            DecodeFrame();
            var first = (int)Math.Clamp(skipFrames - _at, 0, MostFrames);
            _at += MostFrames;
            if (first == MostFrames) continue;
            var channels = stream.Header.Channels;
            for (var channel = 0; channel < channels; channel++)
            {
                var plane = into[channel];
                for (var frame = first; frame < MostFrames; frame++)
                    plane[frame - first] = _samples[(frame * channels) + channel];
            }

            return MostFrames - first;
        }

        return 0;
    }

    /// <inheritdoc/>
    /// <remarks>A frame leans on bits and on sound of those before it: only from the beginning on are the bits the same.</remarks>
    public long Seek(long frame)
    {
        if (frame >= Math.Max(0, _at - skipFrames)) return Math.Max(0, _at - skipFrames);
        (_decoder, _offset, _at) = (new(), stream.FirstOffset, 0);
        return 0;
    }

    private void DecodeFrame()
    {
        var header = MpegFrameHeader.Read(file.Bytes(_offset, MpegFrameHeader.Bytes));
        if (header is not { BitRateKbps: > 0 } here || !here.GoesWith(stream.Header)) throw Damaged();
        _frame.Load(file, _offset, here);
        Array.Clear(_samples);
        try
        {
            // Without the bits of frames before the first, it gives nothing: then silence stands for it, as long as any other.
            _decoder.DecodeFrame(_frame, _samples, 0);
        }
        catch (Exception failure) when (failure is IndexOutOfRangeException or ArgumentException or InvalidOperationException or NullReferenceException or ArithmeticException
            or IOException or InvalidDataException)
        {
            // What NLayer does with bits that make no sense.
            throw Damaged();
        }

        _offset += here.FrameBytes;
    }

    private StemException Damaged() =>
        file.Damaged(Invariant($"the MP3 frame at byte {_offset:N0} ({(double)_at / stream.Header.SampleRateHz:0.000} s) cannot be decoded"));
}
