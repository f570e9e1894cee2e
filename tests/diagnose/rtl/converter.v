// Eight bits to three digits by shift and add three, with a fault on demand; and its registered twin.
module converter (
    input  wire        clk,
    input  wire [7:0]  binary,
    input  wire [7:0]  fault_a,
    input  wire [7:0]  fault_b,
    output wire [11:0] bcd,
    output reg  [3:0]  hundreds,
    output reg  [3:0]  tens,
    output reg  [3:0]  ones
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire [7:0] fed = `F(9) ? {binary[0], binary[1], binary[2], binary[3], binary[4], binary[5], binary[6], binary[7]} :
                     `F(10) ? binary & 8'h7f : `F(11) ? binary & 8'h3f : `F(12) ? binary & 8'hfb :
                     `F(13) ? {binary[7:2], binary[0], binary[1]} : `F(14) ? ~binary : binary;
    wire [4:0] least = `F(1) ? 6 : `F(2) ? 4 : `F(3) ? 3 : `F(8) ? 16 : `F(15) ? 8 : 5;
    wire [4:0] least_tens = `F(25) ? 6 : least;
    wire [3:0] more  = `F(16) ? 2 : 3;
    integer    i, rest;
    reg [19:0] work;
    always @* begin
        work = {12'd0, fed};
        for (i = 0; i < 8; i = i + 1) if (!(`F(17) && i == 7)) begin
            if (work[11:8]  >= least && !`F(4)) work[11:8]  = work[11:8]  + more;
            if (work[15:12] >= least_tens && !`F(5)) work[15:12] = work[15:12] + more;
            if (work[19:16] >= least && !`F(6)) work[19:16] = work[19:16] + more;
            work = work << 1;
        end
        if (`F(7)) begin
            if (work[11:8]  >= 5) work[11:8]  = work[11:8]  + 3;
            if (work[15:12] >= 5) work[15:12] = work[15:12] + 3;
            if (work[19:16] >= 5) work[19:16] = work[19:16] + 3;
        end
        if (`F(26)) begin
            work[19:16] = binary == 0 ? 0 : (binary - 1) / 100;
            rest = binary - 100 * work[19:16];
            work[15:12] = rest == 0 ? 0 : (rest - 1) / 10;
            work[11:8]  = rest - 10 * work[15:12];
        end
        if (`F(18)) work[19:16] = 0;
        if (`F(22)) work[19:8] = {work[11:8], work[15:12], work[19:16]};
        if (`F(23)) work[8] = 0;
        if (`F(24)) work[15] = 0;
    end
    assign bcd = `F(19) ? {work[19:16], work[11:8], work[15:12]} :
                 `F(20) ? {work[19:16], work[15:12], work[8], work[9], work[10], work[11]} : work[19:8];

    reg [3:0] late;
    always @(posedge clk) begin
        hundreds <= work[19:16];
        tens     <= `F(21) ? late : work[15:12];
        late     <= work[15:12];
        ones     <= work[11:8];
    end
`undef F
endmodule
