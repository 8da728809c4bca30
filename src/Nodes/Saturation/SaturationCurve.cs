namespace RenderGraph.Nodes.Saturation;

/// <summary>How a loud sample is bent. Each curve is divided by its slope at 0, so what is quiet keeps its level.</summary>
public enum SaturationCurve
{
    /// <summary>tanh(d x) / d: soft, odd harmonics only.</summary>
    Tanh,

    /// <summary>(tanh(d x + 0.3) - tanh(0.3)) / (d (1 - tanh(0.3)^2)): one side bends sooner than the other, odd and even harmonics.</summary>
    BiasedTanh,

    /// <summary>(u - u^3 / 3) / d with u = d x held between -1 and 1: odd harmonics, flat from there on.</summary>
    Cubic,

    /// <summary>d x held between -1 and 1, over d: hard, odd harmonics that reach far up; below the edge not a bit changes.</summary>
    Clip,
}
