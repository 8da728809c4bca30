namespace RenderGraph.Nodes.AudioFiles.Mpeg;

/// <summary>The four bytes before each frame of MPEG audio (ISO/IEC 11172-3, section 2.4.1.3; 13818-3 for the lower rates; layout from memory, held to files in the tests).</summary>
/// <param name="Version">1, 2, or 25 for "2.5", the lowest rates.</param>
/// <param name="Layer">1, 2 or 3.</param>
/// <param name="BitRateKbps">0 for free format, whose frames do not tell their size.</param>
/// <param name="Mode">0 stereo, 1 joint stereo, 2 two channels, 3 mono.</param>
internal readonly record struct MpegFrameHeader(
    int Version, int Layer, int BitRateIndex, int BitRateKbps, int SampleRateIndex, int SampleRateHz, bool IsPadded, bool HasCrc, int Mode, int ModeExtension)
{
    /// <summary>Bytes of the header.</summary>
    public const int Bytes = 4;

    /// <summary>No frame of layer 3 is longer: 320 kbit/s at 32 kHz, padded.</summary>
    public const int MostFrameBytes = 1441;

    private static readonly int[] Layer3Kbps1 = [0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320];
    private static readonly int[] Layer3Kbps2 = [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160];
    private static readonly int[] RatesHz = [44_100, 48_000, 32_000];

    /// <summary>1 or 2.</summary>
    public int Channels => Mode == 3 ? 1 : 2;

    /// <summary>Frames of sound in a frame of layer 3.</summary>
    public int Samples => Version == 1 ? 1152 : 576;

    /// <summary>Bytes of a frame of layer 3, its header included.</summary>
    public int FrameBytes => (Samples / 8 * BitRateKbps * 1000 / SampleRateHz) + (IsPadded ? 1 : 0);

    /// <summary>Bytes of what stands between header (and checksum) and sound in layer 3.</summary>
    public int SideBytes => Version == 1 ? Channels == 1 ? 17 : 32 : Channels == 1 ? 9 : 17;

    /// <summary>Understands a header, or returns null if it is none. Bit rates are those of layer 3.</summary>
    public static MpegFrameHeader? Read(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < Bytes || bytes[0] != 0xFF || (bytes[1] & 0xE0) != 0xE0) return null;
        int versionBits = bytes[1] >> 3 & 3, layerBits = bytes[1] >> 1 & 3, bitRateIndex = bytes[2] >> 4, rateIndex = bytes[2] >> 2 & 3, emphasis = bytes[3] & 3;
        if (versionBits == 1 || layerBits == 0 || bitRateIndex == 15 || rateIndex == 3 || emphasis == 2) return null;
        var version = versionBits switch { 3 => 1, 2 => 2, _ => 25 };
        var rateHz = RatesHz[rateIndex] / (version switch { 1 => 1, 2 => 2, _ => 4 });
        return new(
            version, 4 - layerBits, bitRateIndex, (version == 1 ? Layer3Kbps1 : Layer3Kbps2)[bitRateIndex], rateIndex, rateHz,
            (bytes[2] & 2) != 0, (bytes[1] & 1) == 0, bytes[3] >> 6, bytes[3] >> 4 & 3);
    }

    /// <summary>Whether two frames can be of one stream.</summary>
    public bool GoesWith(MpegFrameHeader other) =>
        Version == other.Version && Layer == other.Layer && SampleRateHz == other.SampleRateHz && Channels == other.Channels;
}
