// Six digits of the time of day on one 42-bit bus, decimal digits counted directly,
// segments registered. Digit 0 (ones of the seconds) has the lowest bits.
module wall_clock #(
    parameter int CLK_HZ = 12_000_000
) (
    input  logic        clk,
    input  logic        rst_n,    // asynchronous, active low
    output logic [41:0] segments
);
    localparam logic [6:0] ZERO = 7'b0111111;

    logic [23:0] clocks;
    logic [23:0] digits;          // six packed decimal digits
    logic [5:0]  wraps;           // a second ends, and every digit below i is at its last value
    wire         second = clocks == 24'(CLK_HZ - 1);
    wire         midnight = digits == 24'h245959;

    function automatic logic [6:0] glyph(input logic [3:0] digit);
        case (digit)              // gfedcba
            4'd0:    glyph = ZERO;
            4'd1:    glyph = 7'b0000110;
            4'd2:    glyph = 7'b1011011;
            4'd3:    glyph = 7'b1001111;
            4'd4:    glyph = 7'b1100110;
            4'd5:    glyph = 7'b1101101;
            4'd6:    glyph = 7'b1111101;
            4'd7:    glyph = 7'b0000111;
            4'd8:    glyph = 7'b1111111;
            4'd9:    glyph = 7'b1101111;
            default: glyph = 7'b0000000;
        endcase
    endfunction

    always_ff @(posedge clk or negedge rst_n)
        if (!rst_n)      clocks <= '0;
        else if (second) clocks <= '0;
        else             clocks <= clocks + 1'b1;

    assign wraps[0] = second;

    for (genvar i = 0; i < 6; i++) begin : place
        localparam logic [3:0] LAST = (i == 1 || i == 3) ? 4'd5 : 4'd9;

        if (i < 5) begin : carry
            assign wraps[i+1] = wraps[i] && digits[4*i +: 4] == LAST;
        end

        always_ff @(posedge clk or negedge rst_n)
            if (!rst_n)
                digits[4*i +: 4] <= '0;
            else if (second && midnight)
                digits[4*i +: 4] <= '0;
            else if (wraps[i])
                digits[4*i +: 4] <= digits[4*i +: 4] == LAST ? 4'd0 : digits[4*i +: 4] + 4'd1;

        always_ff @(posedge clk or negedge rst_n)
            if (!rst_n) segments[7*i +: 7] <= ZERO;
            else        segments[7*i +: 7] <= glyph(digits[4*i +: 4]);
    end
endmodule
