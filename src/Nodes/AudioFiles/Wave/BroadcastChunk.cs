using System.Buffers.Binary;
using System.Text;
using RenderGraph.Graph.Contracts;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>The <c>bext</c> chunk of Broadcast Wave (EBU Tech 3285 version 2): where and when a recording was made, in fields of fixed length, and a history of its coding.</summary>
internal static class BroadcastChunk
{
    /// <summary>Bytes before the coding history, which has no fixed length.</summary>
    public const int FixedBytes = 602;

    /// <summary>Bytes worth reading: histories are a few lines.</summary>
    public const int MostBytes = 16 * 1024;

    private const int TimeReferenceAt = 338, VersionAt = 346, LoudnessAt = 412, LoudnessBytes = 10;

    /// <summary>Frames from midnight to the file's first; null if the chunk is too short, or says what cannot be.</summary>
    public static long? TimeReferenceFrames(ReadOnlySpan<byte> content) =>
        content.Length >= FixedBytes && BinaryPrimitives.ReadUInt64LittleEndian(content[TimeReferenceAt..]) is var frames and <= long.MaxValue ? (long)frames : null;

    /// <summary>The chunk for an output: what the stem says, with the output's own place and a further line of history. Loudness, which was the stem's, is taken out.</summary>
    public static byte[] Of(OutputFormat format, ReadOnlySpan<byte> origin)
    {
        var history = Encoding.ASCII.GetString(origin[FixedBytes..]).TrimEnd('\0');
        if (history.Length > 0 && !history.EndsWith('\n')) history += "\r\n";
        history += Coding(format);
        var content = new byte[FixedBytes + history.Length];
        origin[..FixedBytes].CopyTo(content);
        Encoding.ASCII.GetBytes(history, content.AsSpan(FixedBytes));
        BinaryPrimitives.WriteUInt64LittleEndian(content.AsSpan(TimeReferenceAt), (ulong)(format.OriginFrames + format.FirstFrame));
        if (BinaryPrimitives.ReadUInt16LittleEndian(content.AsSpan(VersionAt)) >= 2)
        {
            // 7FFF in each of the five means: not told (section 2.4).
            for (var at = LoudnessAt; at < LoudnessAt + LoudnessBytes; at += 2)
                BinaryPrimitives.WriteUInt16LittleEndian(content.AsSpan(at), 0x7FFF);
        }

        return content;
    }

    /// <summary>A line of history (EBU R 98): algorithm, rate, word length, mode, and who did it.</summary>
    private static string Coding(OutputFormat format)
    {
        var bits = format.Encoding switch { SampleEncoding.Pcm16 => 16, SampleEncoding.Pcm24 => 24, _ => 32 };
        return Invariant($"A=PCM,F={format.SampleRateHz},W={bits},M={(format.Channels == 1 ? "mono" : "stereo")},T=RenderGraph\r\n");
    }
}
