using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Cli.Console;

/// <summary>Numbers and paths in words, the same in every culture.</summary>
internal static class Say
{
    private const double DbPerOctave = 6.020599913279624; // 20 log10(2)

    /// <summary>A level in dBFS, or null for silence, which has none.</summary>
    public static double? LevelDbfs(double amplitude) => amplitude > 0 ? DbPerOctave * PortableMath.Log2(amplitude) : null;

    /// <summary><c>-3.1 dBFS</c>, or <c>silent</c>.</summary>
    public static string Level(double amplitude) => LevelDbfs(amplitude) is { } level ? $"{Decimal(level)} dBFS" : "silent";

    /// <summary>One decimal, and never <c>-0.0</c>.</summary>
    public static string Decimal(double value)
    {
        var text = value.ToString("0.0", CultureInfo.InvariantCulture);
        return text == "-0.0" ? "0.0" : text;
    }

    /// <summary>At most three decimals; <c>none</c> if there is no number.</summary>
    public static string Figure(double? value) => value?.ToString("0.###", CultureInfo.InvariantCulture) ?? "none";

    /// <summary>A whole number.</summary>
    public static string Whole(long value) => value.ToString(CultureInfo.InvariantCulture);

    public static string Channels(int channels) => channels == 1 ? "mono" : "stereo";

    public static string Length(long frames, int sampleRateHz) => SongTime.Write(frames / (double)sampleRateHz);

    /// <summary><c>480 frames (10.0 ms)</c>.</summary>
    public static string Latency(int frames, int sampleRateHz) =>
        string.Create(CultureInfo.InvariantCulture, $"{frames} frames ({1000.0 * frames / sampleRateHz:0.0} ms)");

    /// <summary>An encoding as the graph writes it: <c>pcm24</c>.</summary>
    public static string Encoding(SampleEncoding encoding) => encoding.ToString().ToLowerInvariant();

    /// <summary>Seen from where the person stands, unless that would climb out of it.</summary>
    public static string Path(string fullPath)
    {
        var relative = System.IO.Path.GetRelativePath(Environment.CurrentDirectory, fullPath);
        return relative.StartsWith("..", StringComparison.Ordinal) ? fullPath : relative;
    }
}
