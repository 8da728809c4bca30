namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>
/// Windows by their loudness, in steps (of 0.01 LU, if nothing else is asked for) from the absolute gate of -70 LUFS up: memory does not grow with the song. Each step keeps the sum of its windows' powers, so means are exact.
/// </summary>
/// <param name="stepsPerLu">How fine: a window that near to a relative gate may fall on its other side.</param>
internal sealed class LoudnessHistogram(int stepsPerLu = 100)
{
    /// <summary>The absolute gate of ITU-R BS.1770-5 and EBU Tech 3342: what is not louder does not count.</summary>
    public const double AbsoluteGateLufs = -70;

    private const double LoudestLufs = 60;

    /// <summary>The same as power.</summary>
    public static readonly double AbsoluteGate = LoudnessScale.PowerOf(AbsoluteGateLufs);

    private readonly long[] _counts = new long[(int)((LoudestLufs - AbsoluteGateLufs) * stepsPerLu)];
    private readonly double[] _powers = new double[(int)((LoudestLufs - AbsoluteGateLufs) * stepsPerLu)];
    private double _power;

    /// <summary>Windows above the absolute gate.</summary>
    public long Count { get; private set; }

    /// <summary>Adds a window.</summary>
    public void Add(double power)
    {
        if (power <= AbsoluteGate)
            return;
        var step = Math.Clamp((int)((LoudnessScale.LufsOf(power) - AbsoluteGateLufs) * stepsPerLu), 0, _counts.Length - 1);
        _counts[step]++;
        _powers[step] += power;
        _power += power;
        Count++;
    }

    /// <summary>The loudness of the mean power of all windows above a gate so many LU below the loudness of all of them.</summary>
    public double GatedLufs(double gateLu)
    {
        var (power, count) = (0.0, 0L);
        for (var step = FirstAbove(gateLu); step < _counts.Length; step++)
        {
            power += _powers[step];
            count += _counts[step];
        }

        return LoudnessScale.LufsOf(power / count);
    }

    /// <summary>By how much the loudness at a high percentile of the windows above the relative gate exceeds that at a low one; nearest rank, as in EBU Tech 3342.</summary>
    public double RangeLu(double gateLu, double lowPercent, double highPercent)
    {
        var first = FirstAbove(gateLu);
        var count = 0L;
        for (var step = first; step < _counts.Length; step++)
            count += _counts[step];
        return AtRank(Rank(highPercent)) - AtRank(Rank(lowPercent));

        long Rank(double percent) => (long)Math.Round((count - 1) * percent / 100, MidpointRounding.AwayFromZero);

        double AtRank(long rank)
        {
            var step = first;
            for (var passed = _counts[step]; passed <= rank; passed += _counts[step])
                step++;
            return LoudnessScale.LufsOf(_powers[step] / _counts[step]);
        }
    }

    // The step that the gate falls into counts if what is in it lies above the gate.
    private int FirstAbove(double gateLu)
    {
        var gate = LoudnessScale.PowerOf(LoudnessScale.LufsOf(_power / Count) - gateLu);
        var step = 0;
        while (_counts[step] == 0 || _powers[step] <= gate * _counts[step])
            step++;
        return step;
    }
}
