using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>What a file's headers say about its sound, once they have been checked against the file.</summary>
/// <param name="SampleRateHz">8,000 to 384,000.</param>
/// <param name="Channels">In the file, 1 to 32.</param>
/// <param name="LengthFrames">Whole frames that are really there; at least 1.</param>
/// <param name="Words">How samples are stored, for a table: <c>24-bit PCM</c>.</param>
internal sealed record Sound(int SampleRateHz, int Channels, long LengthFrames, string Words)
{
    /// <summary>Lowest and highest rate that is taken.</summary>
    public const int LowestRateHz = 8_000, HighestRateHz = 384_000;

    /// <summary>No file may have more.</summary>
    public const int MostChannels = 32;

    /// <summary>What each channel is for; null if the file does not say.</summary>
    public IReadOnlyList<Speaker>? Speakers { get; init; }

    /// <summary>Where the first frame lies, in the file's frames since midnight (EBU Tech 3285); null if the file does not say.</summary>
    public long? TimeReferenceFrames { get; init; }

    /// <summary>Who made it, when and how; null if the file does not say.</summary>
    public OriginNote? Origin { get; init; }

    /// <summary>Whether rate and channels are within bounds; if not, says so.</summary>
    public static bool IsWithinLimits(long rateHz, int channels, StemReport report)
    {
        if (channels is 0)
        {
            report(DiagnosticCode.StemDamaged, Severity.Error, "its header says that it has no channels", "Export it again");
            return false;
        }

        if (channels is < 0 or > MostChannels)
        {
            report(DiagnosticCode.StemNotAudio, Severity.Error, Invariant($"it has {channels:N0} channels, but {MostChannels} are the most that can be read"),
                "Export the channels that you need as stems of their own");
            return false;
        }

        if (rateHz is >= LowestRateHz and <= HighestRateHz) return true;
        report(DiagnosticCode.StemNotAudio, Severity.Error,
            Invariant($"its sample rate is {rateHz:N0} Hz, but must lie between {LowestRateHz:N0} and {HighestRateHz:N0}"), "Export it again at the song's rate");
        return false;
    }

    /// <summary>What the engine gets of it.</summary>
    public StemFormat FormatOf(ChannelMap map) =>
        new(SampleRateHz, map.Channels, LengthFrames, Words + map.Words) { TimeReferenceFrames = TimeReferenceFrames, Origin = Origin };
}
