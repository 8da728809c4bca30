using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Channels;

/// <summary>Which of a file's channels the engine gets, mono or stereo.</summary>
internal sealed class ChannelMap
{
    /// <summary>-3 dB, exactly rounded on every machine.</summary>
    private static readonly double HalfPower = Math.Sqrt(0.5);

    private readonly ChannelShare[][] _shares;

    private ChannelMap(int fileChannels, ChannelShare[][] shares, string words)
    {
        (FileChannels, _shares, Words) = (fileChannels, shares, words);
        IsPlain = shares.Length == fileChannels && shares.Select((share, channel) => share is [{ Amplitude: 1 } only] && only.Channel == channel).All(same => same);
    }

    /// <summary>Channels in the file.</summary>
    public int FileChannels { get; }

    /// <summary>Channels of the stem, 1 or 2.</summary>
    public int Channels => _shares.Length;

    /// <summary>Whether the stem gets the file's channels as they are.</summary>
    public bool IsPlain { get; }

    /// <summary>To follow the words for the encoding: empty, or <c>, channels 3 and 4 of 6</c>.</summary>
    public string Words { get; }

    /// <summary>What goes into one of the stem's channels.</summary>
    public ReadOnlySpan<ChannelShare> SharesOf(int channel) => _shares[channel];

    /// <summary>Sums the shares of decoded planes, times a gain.</summary>
    public void Mix(Signal from, Signal into, double amplitude)
    {
        for (var channel = 0; channel < into.Channels; channel++)
        {
            var plane = into[channel];
            var isFirst = true;
            foreach (var share in _shares[channel])
            {
                Add(from[share.Channel], share.Amplitude * amplitude, plane, isFirst);
                isFirst = false;
            }
        }
    }

    /// <summary>Adds a plane, or begins with it.</summary>
    public static void Add(ReadOnlySpan<double> from, double amplitude, Span<double> into, bool isFirst)
    {
        from = from[..into.Length];
        if (isFirst)
        {
            for (var frame = 0; frame < into.Length; frame++)
                into[frame] = from[frame] * amplitude;
            return;
        }

        for (var frame = 0; frame < into.Length; frame++)
            into[frame] += from[frame] * amplitude;
    }

    /// <summary>The channels asked for; without a wish mono and stereo as they are, and a down-mix of what has an agreed one. Null after an error.</summary>
    /// <param name="wanted">One or two, counted from 1.</param>
    public static ChannelMap? Of(Sound sound, IReadOnlyList<int>? wanted, StemReport report)
    {
        if (wanted is not null) return Picked(sound.Channels, wanted, report);
        if (sound.Channels <= 2)
            return new(sound.Channels, [.. Enumerable.Range(0, sound.Channels).Select(channel => Whole(channel))], "");
        if (sound.Speakers is { } speakers && DownMix(speakers) is { } shares)
        {
            var hasLowFrequency = speakers.Contains(Speaker.LowFrequency);
            report(DiagnosticCode.StemChannels, Severity.Warning,
                Invariant($"its {sound.Channels} channels are mixed down to stereo by ITU-R BS.775: front left and right as they are, centre and surrounds at -3 dB{(hasLowFrequency ? ", the low-frequency effects (LFE) left out" : "")}"),
                "To take one or two channels instead, give the stem \"channels\": [1, 2]");
            return new(sound.Channels, shares, Invariant($", {sound.Channels} channels mixed down"));
        }

        report(DiagnosticCode.StemChannels, Severity.Error,
            Invariant($"it has {sound.Channels} channels, and {(sound.Speakers is null ? "does not say what they are for" : "there is no agreed down-mix of these")}"),
            "Give the stem \"channels\": [1, 2], or those that you want; one makes it mono");
        return null;
    }

    private static ChannelMap? Picked(int channels, IReadOnlyList<int> wanted, StemReport report)
    {
        foreach (var channel in wanted)
        {
            if (channel >= 1 && channel <= channels) continue;
            report(DiagnosticCode.StemChannels, Severity.Error,
                Invariant($"the graph asks for its channel {channel}, but it has {(channels == 1 ? "1 channel" : Invariant($"{channels} channels"))}"),
                channels == 1 ? "Leave out \"channels\"" : Invariant($"Count from 1 to {channels}"));
            return null;
        }

        var words = wanted.Count == 1 ? Invariant($", channel {wanted[0]} of {channels}") : Invariant($", channels {wanted[0]} and {wanted[1]} of {channels}");
        return new(channels, [.. wanted.Select(channel => Whole(channel - 1))], words);
    }

    private static ChannelShare[] Whole(int channel) => [new(channel, 1)];

    /// <summary>
    /// ITU-R BS.775-3, table 2 (from memory): L + 0.7071 C + 0.7071 Ls, and the same on the right, without LFE. For two pairs of
    /// surrounds, which it does not know, each at -3 dB: common practice, no source.
    /// </summary>
    private static ChannelShare[][]? DownMix(IReadOnlyList<Speaker> speakers)
    {
        List<ChannelShare> left = [], right = [];
        for (var channel = 0; channel < speakers.Count; channel++)
        {
            switch (speakers[channel])
            {
                case Speaker.FrontLeft: left.Insert(0, new(channel, 1)); break;
                case Speaker.FrontRight: right.Insert(0, new(channel, 1)); break;
                case Speaker.BackLeft or Speaker.SideLeft: left.Add(new(channel, HalfPower)); break;
                case Speaker.BackRight or Speaker.SideRight: right.Add(new(channel, HalfPower)); break;
                case Speaker.FrontCentre:
                    left.Add(new(channel, HalfPower));
                    right.Add(new(channel, HalfPower));
                    break;
                case Speaker.LowFrequency: break;
                default: return null;
            }
        }

        return speakers.Contains(Speaker.FrontLeft) && speakers.Contains(Speaker.FrontRight) ? [[.. left], [.. right]] : null;
    }
}
