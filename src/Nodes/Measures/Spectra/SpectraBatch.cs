namespace RenderGraph.Nodes.Measures.Spectra;

/// <summary>The spectra of every stem's planes under some windows. A mono stem has the same spectrum left and right.</summary>
internal sealed class SpectraBatch
{
    /// <summary>Windows at once.</summary>
    public const int MostWindows = 32;

    private readonly double[][] _real, _imaginary;
    private readonly bool[][] _isSilent;
    private readonly int[] _firstPlane, _channels;

    /// <summary>Room for stems of so many channels.</summary>
    /// <param name="windows">Windows that it is to hold.</param>
    public SpectraBatch(IReadOnlyList<int> channels, int binCount, int windows = MostWindows)
    {
        BinCount = binCount;
        _channels = [.. channels];
        _firstPlane = new int[channels.Count];
        for (var stem = 1; stem < channels.Count; stem++)
            _firstPlane[stem] = _firstPlane[stem - 1] + channels[stem - 1];
        var planes = channels.Sum();
        _real = [.. Enumerable.Range(0, planes).Select(_ => new double[windows * binCount])];
        _imaginary = [.. Enumerable.Range(0, planes).Select(_ => new double[windows * binCount])];
        _isSilent = [.. Enumerable.Range(0, planes).Select(_ => new bool[windows])];
    }

    /// <summary>Bins of a spectrum.</summary>
    public int BinCount { get; }

    /// <summary>Windows in use.</summary>
    public int WindowCount { get; set; }

    /// <summary>Number of the first of them among all.</summary>
    public int FirstWindow { get; set; }

    /// <summary>How many stems.</summary>
    public int StemCount => _channels.Length;

    /// <summary>Channels of a stem.</summary>
    public int ChannelsOf(int stem) => _channels[stem];

    /// <summary>Where a stem's channel lies among the planes.</summary>
    public int PlaneOf(int stem, int channel) => _firstPlane[stem] + Math.Min(channel, _channels[stem] - 1);

    /// <summary>Real parts of a plane's spectrum under a window.</summary>
    public Span<double> Real(int plane, int window) => _real[plane].AsSpan(window * BinCount, BinCount);

    /// <summary>Imaginary parts.</summary>
    public Span<double> Imaginary(int plane, int window) => _imaginary[plane].AsSpan(window * BinCount, BinCount);

    /// <summary>Whether a plane is silent under a window; its spectrum is then not written.</summary>
    public ref bool IsSilent(int plane, int window) => ref _isSilent[plane][window];
}
