using System.Numerics;

namespace RenderGraph.Nodes.AudioFiles.Channels;

/// <summary>Which channel is for which speaker, by the rules of each kind of file.</summary>
internal static class SpeakerOrder
{
    private const Speaker L = Speaker.FrontLeft, R = Speaker.FrontRight, C = Speaker.FrontCentre, Lfe = Speaker.LowFrequency;
    private const Speaker Bl = Speaker.BackLeft, Br = Speaker.BackRight, Sl = Speaker.SideLeft, Sr = Speaker.SideRight, Other = Speaker.Other;

    /// <summary>The lowest bits of a channel mask (Microsoft's KSAUDIO speaker positions, also in RFC 9639).</summary>
    private static readonly Speaker[] MaskBits = [L, R, C, Lfe, Bl, Br, Other, Other, Other, Sl, Sr];

    /// <summary>RFC 9639, section 9.1.3, by number of channels.</summary>
    private static readonly Speaker[][] Flac =
        [[C], [L, R], [L, R, C], [L, R, Bl, Br], [L, R, C, Bl, Br], [L, R, C, Lfe, Bl, Br], [L, R, C, Lfe, Other, Sl, Sr], [L, R, C, Lfe, Bl, Br, Sl, Sr]];

    /// <summary>Of a mask: as many speakers as channels, or null.</summary>
    public static IReadOnlyList<Speaker>? OfMask(uint mask, int channels)
    {
        if (BitOperations.PopCount(mask) != channels) return null;
        var speakers = new List<Speaker>();
        for (var bit = 0; bit < 32; bit++)
        {
            if ((mask >> bit & 1) != 0) speakers.Add(bit < MaskBits.Length ? MaskBits[bit] : Other);
        }

        return speakers;
    }

    /// <summary>Of a FLAC file without a mask of its own.</summary>
    public static IReadOnlyList<Speaker>? OfFlac(int channels) => channels <= Flac.Length ? Flac[channels - 1] : null;
}
