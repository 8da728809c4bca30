using System.Buffers.Binary;
using System.Text;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>Markers, as a <c>cue </c> chunk and a <c>LIST</c> of their labels (Multimedia Programming Interface and Data Specifications 1.0, 1991, from memory; NAudio reads them in the tests).</summary>
internal static class CueChunks
{
    /// <summary>The contents of both chunks; null if no marker lies in the file. Places are numbers of 32 bits: past 24 hours at 48 kHz there are none.</summary>
    public static (byte[] Cues, byte[] Labels)? Of(OutputFormat format)
    {
        var cues = (format.Cues ?? [])
            .Where(cue => cue.Frame >= format.FirstFrame && cue.Frame - format.FirstFrame < Math.Min(format.LengthFrames, uint.MaxValue)).ToList();
        if (cues.Count == 0) return null;
        using MemoryStream points = new(), labels = new();
        Word(points, (uint)cues.Count);
        labels.Write("adtl"u8);
        for (var i = 0; i < cues.Count; i++)
        {
            var (number, at) = ((uint)i + 1, (uint)(cues[i].Frame - format.FirstFrame));
            Word(points, number);
            Word(points, at);
            points.Write("data"u8);
            Word(points, 0);
            Word(points, 0);
            Word(points, at);

            byte[] label = [.. Encoding.UTF8.GetBytes(cues[i].Label), 0];
            labels.Write("labl"u8);
            Word(labels, 4 + (uint)label.Length);
            Word(labels, number);
            labels.Write(label);
            if (label.Length % 2 == 1) labels.WriteByte(0);
        }

        return (points.ToArray(), labels.ToArray());
    }

    private static void Word(Stream stream, uint value)
    {
        Span<byte> bytes = stackalloc byte[4];
        BinaryPrimitives.WriteUInt32LittleEndian(bytes, value);
        stream.Write(bytes);
    }
}
