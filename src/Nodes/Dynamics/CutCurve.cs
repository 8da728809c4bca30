using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// Draws how deep a keyed cut is, one control step after another, from the key's peaks: level, then depth through the soft zone, then hold,
/// release and attack. A peak heard in step k has its full depth at the start of step k + <see cref="LeadSteps"/> and stands for the hold from there.
/// </summary>
internal sealed class CutCurve
{
    /// <summary>A depth that has died away to this is 0.</summary>
    public const double RestDb = 1e-7;

    /// <summary>Half a period of 20 Hz: a tone's peaks come at least this often, so a steady key that low holds the cut still.</summary>
    public const double ShortestHoldMs = 25;

    private readonly KeyedCutParameters _parameters;
    private readonly SlidingMaximum _loudest;
    private readonly RaisedCosineGlide _glide;
    private readonly double _release;
    private double _lastPeak, _heldDb;

    public CutCurve(KeyedCutParameters parameters, int sampleRateHz)
    {
        _parameters = parameters;
        var attackSteps = Math.Max(1, ControlGrid.StepsWithin(parameters.AttackMs, sampleRateHz));

        // The glide needs a target as long as its ramp to arrive, and a hit may fall anywhere in its step.
        var holdSteps = ControlGrid.StepsAround(Math.Max(parameters.HoldMs, ShortestHoldMs), sampleRateHz) + 1;
        _loudest = new(holdSteps + attackSteps);
        _glide = new(attackSteps, Math.Max(0, LookaheadSteps(parameters, sampleRateHz) - attackSteps));

        // The glide delays a long exponential by half its ramp, which is taken off here.
        var releaseSteps = ControlGrid.Steps(parameters.WholeReleaseMs, sampleRateHz) - ((attackSteps - 1) / 2.0);
        _release = releaseSteps > 0 ? PortableMath.Exp(-1 / releaseSteps) : 0;
    }

    /// <summary>Level from which on the cut is as deep as it gets.</summary>
    public double ThresholdDbfs { get; set; }

    /// <summary>The depth that the last peak asks for, before release and attack: exactly 0 once the hold has passed.</summary>
    public double AskedDb { get; private set; }

    /// <summary>
    /// Steps from a key's sound to its full depth, if the attack fits into the look-ahead: the look-ahead, one step to hear a hit in, and the time
    /// in which the listening band-pass answers.
    /// </summary>
    public static int LeadSteps(KeyedCutParameters parameters, int sampleRateHz) =>
        LookaheadSteps(parameters, sampleRateHz) + 1 + ControlGrid.StepsAround(parameters.ListeningLagMs, sampleRateHz);

    /// <summary>Takes the key's peak in a step and gives the depth at the start of the step after the next.</summary>
    public double Next(double peak)
    {
        var loudest = _loudest.Next(peak);
        if (loudest != _lastPeak)
            (_lastPeak, AskedDb) = (loudest, DepthDb(loudest));

        var fadingDb = AskedDb + ((_heldDb - AskedDb) * _release);
        _heldDb = fadingDb - AskedDb < RestDb ? AskedDb : fadingDb;
        return _glide.Next(_heldDb);
    }

    private static int LookaheadSteps(KeyedCutParameters parameters, int sampleRateHz) =>
        ControlGrid.StepsAround(parameters.LookaheadMs, sampleRateHz);

    // A smooth step through the soft zone: flat at both ends, exactly 0 below it and the full depth above.
    private double DepthDb(double peak)
    {
        var overDb = Decibels.FromAmplitude(peak) - ThresholdDbfs;
        if (overDb >= 0)
            return _parameters.DepthDb;
        if (overDb <= -_parameters.SoftDb)
            return 0;
        var share = (overDb / _parameters.SoftDb) + 1;
        return _parameters.DepthDb * share * share * (3 - (2 * share));
    }
}
