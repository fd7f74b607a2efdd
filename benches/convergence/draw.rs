//! Deviation against time of a shot, for the handbook.

use std::path::Path;

use plotters::prelude::*;

/// Time of a shot [µs] and deviation.
type Points = [(f64, f64)];

const BLUE: RGBColor = RGBColor(0x00, 0x72, 0xb2);
const GREEN: RGBColor = RGBColor(0x00, 0x9e, 0x73);
const GREY: RGBColor = RGBColor(0x60, 0x60, 0x60);

/// Draws docs/pictures/convergence.svg.
pub fn draw(tolerances: &Points, fronts: &Points, enthalpy: &Points) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/pictures/convergence.svg");
    let root = SVGBackend::new(&path, (900, 520)).into_drawing_area();
    root.fill(&WHITE).expect("the picture");
    let font = |size| ("sans-serif", size).into_font();
    let mut chart = ChartBuilder::on(&root)
        .caption(
            "Deviation from a far finer run against the time of a shot",
            font(20),
        )
        .margin(16)
        .x_label_area_size(44)
        .y_label_area_size(76)
        .build_cartesian_2d((40.0..4000.0_f64).log_scale(), (1e-11..1.0_f64).log_scale())
        .expect("the axes");
    chart
        .configure_mesh()
        .light_line_style(WHITE)
        .bold_line_style(RGBColor(0xe4, 0xe4, 0xe4))
        .x_desc("time of a shot of the demonstration case to freezing, µs")
        .y_desc("largest relative deviation over the cases")
        .label_style(font(15))
        .axis_desc_style(font(16))
        .y_label_formatter(&|y| format!("{y:.0e}"))
        .x_label_formatter(&|x| format!("{x:.0}"))
        .draw()
        .expect("the axes");
    let series = [
        (
            tolerances,
            BLUE,
            "touchdown time, tolerance 1e-5 to 1e-9 (limit 1e-6)",
            0,
        ),
        (
            fronts,
            GREEN,
            "melt by fronts: coarse, standard, fine (limit 0.5 %)",
            1,
        ),
        (enthalpy, GREY, "melt by enthalpy: standard, fine", 2),
    ];
    for (points, colour, name, mark) in series {
        let line = LineSeries::new(points.iter().copied(), colour.stroke_width(2));
        chart
            .draw_series(line)
            .expect("a line")
            .label(name)
            .legend(move |(x, y)| PathElement::new([(x, y), (x + 22, y)], colour.stroke_width(3)));
        // A mark of its own for each series: colour is not all that tells them apart.
        let marks = points.iter().map(|&p| match mark {
            0 => Circle::new(p, 5, colour.filled()).into_dyn(),
            1 => TriangleMarker::new(p, 7, colour.filled()).into_dyn(),
            _ => Cross::new(p, 6, colour.stroke_width(3)).into_dyn(),
        });
        chart.draw_series(marks).expect("the marks");
    }
    chart
        .configure_series_labels()
        .position(SeriesLabelPosition::MiddleRight)
        .border_style(WHITE)
        .background_style(WHITE)
        .label_font(font(16))
        .draw()
        .expect("the legend");
    root.present().expect("the picture");
}
